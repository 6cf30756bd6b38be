//! Solves a scheduling problem: integer program, schedule builder, search and bound.
