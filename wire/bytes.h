// Bounded little-endian writing and reading of bytes; every multi-byte value on the wire goes through here.
#pragma once

#include <stddef.h>
#include <stdint.h>
#include <string.h>

namespace ringout {
namespace wire {

// A short text on the wire: length byte, then UTF-8 without a closing zero.
template <uint16_t Capacity>
struct Text {
  uint8_t size = 0;
  char chars[Capacity] = {};

  // Takes at most Capacity bytes of a zero-terminated text, and of a letter of UTF-8 all bytes or none.
  void set(const char* text) {
    size = 0;
    while (size < Capacity && text[size] != '\0') {
      chars[size] = text[size];
      size = static_cast<uint8_t>(size + 1);
    }
    while (size > 0 && (text[size] & 0xC0) == 0x80) size = static_cast<uint8_t>(size - 1);
  }
};

// Bytes that make up the rest of a payload; they stay where they are.
struct Rest {
  const uint8_t* bytes = nullptr;
  uint16_t size = 0;
};

// Writes into memory of the caller; what does not fit makes ok() false and is dropped.
class Writer {
 public:
  Writer(uint8_t* bytes, uint16_t capacity) : bytes_(bytes), capacity_(capacity) {}

  void u8(uint8_t v) {
    if (size_ < capacity_) {
      bytes_[size_] = v;
      size_ = static_cast<uint16_t>(size_ + 1);
    } else {
      ok_ = false;
    }
  }
  void u16(uint16_t v) {
    u8(static_cast<uint8_t>(v & 0xFF));
    u8(static_cast<uint8_t>(v >> 8));
  }
  void u32(uint32_t v) {
    u16(static_cast<uint16_t>(v & 0xFFFF));
    u16(static_cast<uint16_t>(v >> 16));
  }
  void i16(int16_t v) { u16(static_cast<uint16_t>(v)); }
  void i32(int32_t v) { u32(static_cast<uint32_t>(v)); }
  void f32(float v) {
    static_assert(sizeof(float) == 4, "IEEE 754 binary32 on both ends");
    uint32_t bits;
    memcpy(&bits, &v, sizeof bits);
    u32(bits);
  }
  void raw(const uint8_t* from, uint16_t count) {
    for (uint16_t i = 0; i < count; ++i) u8(from[i]);
  }
  template <uint16_t Capacity>
  void text(const Text<Capacity>& t) {
    u8(t.size);
    for (uint8_t i = 0; i < t.size; ++i) u8(static_cast<uint8_t>(t.chars[i]));
  }
  template <uint16_t Count>
  void array(const uint8_t (&from)[Count]) {
    raw(from, Count);
  }
  void rest(const Rest& r) { raw(r.bytes, r.size); }

  bool ok() const { return ok_; }
  uint16_t size() const { return size_; }

 private:
  uint8_t* bytes_;
  uint16_t capacity_;
  uint16_t size_ = 0;
  bool ok_ = true;
};

// Reads from memory of the caller; what is not there makes ok() false and reads as zero.
class Reader {
 public:
  Reader(const uint8_t* bytes, uint16_t size) : bytes_(bytes), size_(size) {}

  void u8(uint8_t& v) {
    if (at_ < size_) {
      v = bytes_[at_];
      at_ = static_cast<uint16_t>(at_ + 1);
    } else {
      v = 0;
      ok_ = false;
    }
  }
  void u16(uint16_t& v) {
    uint8_t low;
    uint8_t high;
    u8(low);
    u8(high);
    v = static_cast<uint16_t>(low | (static_cast<uint16_t>(high) << 8));
  }
  void u32(uint32_t& v) {
    uint16_t low;
    uint16_t high;
    u16(low);
    u16(high);
    v = low | (static_cast<uint32_t>(high) << 16);
  }
  void i16(int16_t& v) {
    uint16_t bits;
    u16(bits);
    v = static_cast<int16_t>(bits);
  }
  void i32(int32_t& v) {
    uint32_t bits;
    u32(bits);
    v = static_cast<int32_t>(bits);
  }
  void f32(float& v) {
    uint32_t bits;
    u32(bits);
    memcpy(&v, &bits, sizeof v);
  }
  // A text longer than its field is refused (ok() false), not cut.
  template <uint16_t Capacity>
  void text(Text<Capacity>& t) {
    uint8_t size;
    u8(size);
    if (size > Capacity) ok_ = false;
    t.size = ok_ ? size : 0;
    for (uint8_t i = 0; i < t.size; ++i) {
      uint8_t c;
      u8(c);
      t.chars[i] = static_cast<char>(c);
    }
  }
  template <uint16_t Count>
  void array(uint8_t (&to)[Count]) {
    for (uint16_t i = 0; i < Count; ++i) u8(to[i]);
  }
  void rest(Rest& r) {
    r.bytes = bytes_ + at_;
    r.size = static_cast<uint16_t>(size_ - at_);
    at_ = size_;
  }

  bool ok() const { return ok_; }
  uint16_t left() const { return static_cast<uint16_t>(size_ - at_); }

 private:
  const uint8_t* bytes_;
  uint16_t size_;
  uint16_t at_ = 0;
  bool ok_ = true;
};

}  // namespace wire
}  // namespace ringout
