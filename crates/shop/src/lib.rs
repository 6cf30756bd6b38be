//! A tube-bending shop: parts, orders, cells, tooling, calendars and crews.
