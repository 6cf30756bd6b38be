//! Compiles a shop into a scheduling problem and reads a schedule back as a plan.
