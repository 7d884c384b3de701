// What is believed before anything is measured: how often each fault of wiring is met when a small robot is proved.
// Rough figures (own judgement, no published table): only their order of magnitude matters, because a bump's
// likelihood outweighs them wherever the bump can tell at all.
#pragma once

namespace ringout::prove::prior {

// Where an output device sits.
inline constexpr double displaced = 0.07;  // on another drawn port; two of them make an exchange (0.07 squared = 0.005)
inline constexpr double moved_to_spare = 0.01;
inline constexpr double absent = 0.03;      // open, blown, dead or unplugged
inline constexpr double not_drawn = 0.003;  // the port drives something that is not in the robot file

// An output device's condition.
inline constexpr double reversed = 0.03;
inline constexpr double weak = 0.03;
inline constexpr double strong = 0.02;
inline constexpr double intermittent = 0.02;
inline constexpr double jammed = 0.015;
inline constexpr double drags = 0.04;        // a joint runs dry, a belt is too tight, something rubs
inline constexpr double slips = 0.004;       // coupling, set screw, key, belt
inline constexpr double shorted = 0.001;     // the two conductors of its lead, its terminals or its winding
inline constexpr double other_motor = 0.02;  // another motor of the catalogue sits in the gear

// A sensor's place and condition.
inline constexpr double sensor_displaced = 0.07;
inline constexpr double sensor_moved_to_spare = 0.01;
inline constexpr double sensor_reversed = 0.03;
inline constexpr double sensor_silent = 0.04;
inline constexpr double one_channel_dead = 0.02;
inline constexpr double sensor_intermittent = 0.01;

// A person who looks: how often she names another device or direction, or misses a small motion.
inline constexpr double mistaken = 0.003;
inline constexpr double overlooked = 0.01;
inline constexpr double slips_wholly = 0.9;  // what should move stands
inline constexpr double too_small = 0.4;     // a motion of a few millimetres or degrees
inline constexpr double unlit = 0.6;         // a lamp or pump at a level too low to be seen or heard

}  // namespace ringout::prove::prior
