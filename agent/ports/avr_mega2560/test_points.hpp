// Points of a board with nothing in particular plugged in, in the form of a generated points.hpp; for tests of the
// firmware alone. The fingerprint is the CRC-32/ISO-HDLC of "motor_1:bridge motor\n" and so on.
#pragma once
#include "agent/program.hpp"
