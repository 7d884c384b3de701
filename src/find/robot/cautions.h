// The cautions that belong to checks and repairs by hand, each said in one place.
#pragma once

namespace ringout::faults::caution {

inline constexpr const char* supply_off =
    "Supply off before hands go in: open the supply disconnect and see the reading fall.";
inline constexpr const char* battery_off =
    "Unplug the battery first: this lead is live even with the supply disconnect open. Insulated tools, and no "
    "end of it may touch anything.";
inline constexpr const char* closes =
    "Hands out, people clear: what stood still may start when it closes. Find out first why it opened.";
inline constexpr const char* falls = "Block what can fall or spring back.";
inline constexpr const char* live =
    "The supply is on: touch nothing but insulated probes, rings and watches off, and do not bridge terminals.";
inline constexpr const char* worked_live =
    "Block what can fall or spring back; nothing may be commanded while hands are in, and the supply disconnect is at "
    "hand.";
inline constexpr const char* moves =
    "It may move: nobody within its reach, wheels off the floor, the supply disconnect at hand.";
inline constexpr const char* new_table =
    "Its writing moves nothing; what is moved afterwards goes by the new table: nobody within its reach the first "
    "time.";
inline constexpr const char* starts =
    "The controller starts anew when its supply comes: nobody within reach of what its program may move.";
inline constexpr const char* known_good =
    "Supply off while changing over. A known-good part can be destroyed by a fault outside it: first make sure that "
    "nothing is shorted.";
inline constexpr const char* hot = "A motor that has stalled is hot: let it cool.";
inline constexpr const char* loaded =
    "Supply off before hands go in. Block what can fall or spring back; stored force is released first.";
inline constexpr const char* fuse =
    "Supply off before a fuse is changed; the same rating only, and find out why it has blown before a second one goes "
    "in.";
inline constexpr const char* battery =
    "A battery gives hundreds of amperes into a short: insulated tools, one lead at a time. Charge it as its maker "
    "says.";

}  // namespace ringout::faults::caution
