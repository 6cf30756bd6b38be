//! Plans for people: lists, machine-time chart and load chart.
