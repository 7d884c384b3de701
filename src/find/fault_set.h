// Which faults are present at once: a small sorted set of fault modes, cheap to copy and to compare.
#pragma once

#include <algorithm>
#include <array>
#include <compare>
#include <cstddef>
#include <cstdint>
#include <initializer_list>

#include "base/check.h"

namespace ringout::find {

using Index = std::uint32_t;  // of a mode, observation, repair, place or hypothesis of one model

class FaultSet {
 public:
  static constexpr std::size_t capacity = 7;

  FaultSet() = default;
  FaultSet(std::initializer_list<Index> modes) {
    for (const Index mode : modes) add(mode);
  }

  // Adding a mode that is there already changes nothing; more than `capacity` modes are our bug.
  void add(Index mode) {
    auto* const at = std::lower_bound(modes_.begin(), modes_.begin() + size_, mode);
    if (at != modes_.begin() + size_ && *at == mode) return;
    RINGOUT_CHECK(size_ < capacity);
    std::copy_backward(at, modes_.begin() + size_, modes_.begin() + size_ + 1);
    *at = mode;
    ++size_;
  }
  [[nodiscard]] bool contains(Index mode) const { return std::find(begin(), end(), mode) != end(); }
  [[nodiscard]] std::size_t size() const { return size_; }
  [[nodiscard]] bool empty() const { return size_ == 0; }
  [[nodiscard]] const Index* begin() const { return modes_.data(); }
  [[nodiscard]] const Index* end() const { return modes_.data() + size_; }

  auto operator<=>(const FaultSet&) const = default;

 private:
  std::array<Index, capacity> modes_{};  // beyond size_: zero, so that comparison sees only what counts
  std::uint32_t size_ = 0;
};

}  // namespace ringout::find
