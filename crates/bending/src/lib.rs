//! Bending knowledge: geometry, limits, tooling need, mechanics and times of round tube.
