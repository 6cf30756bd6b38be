//! Examples below the help of verbs.

/// What a file of bends looks like.
pub(super) const BENDS_HELP: &str = "\
A file for --bends, every length and angle with its unit:
  [[part]]
  id = \"INQUIRY-1\"
  tube = \"T-25.4x1.65-w\"          # of tubes.toml, or of a [[tube]] in this file
  bends = [
    { straight = \"300 mm\", clr = \"76.2 mm\", angle = \"90 deg\" },
    { straight = \"400 mm\", rotation = \"90 deg\", clr = \"76.2 mm\", angle = \"45 deg\" },
  ]
  end_straight = \"200 mm\"
`straight` lies before its bend, between tangent points; `rotation` turns the bend's plane against
that of the bend before; `clr` is the radius of the centreline. Points may stand instead of bends.";

/// What a mapping looks like.
pub(super) const MAPPING_HELP: &str = "\
A mapping says what the export calls its columns and how it writes dates and numbers:
  [orders]                     # or [tools], [parts]; one of each in one file
  date = \"d.m.y\"              # or y-m-d, m/d/y
  decimal = \",\"
  [orders.columns]             # also material, customer, late_cost_per_day
  id = \"Order no.\"
  part = \"Item\"
  quantity = \"Quantity\"
  promised = \"Delivery date\"
`elbowroom new` puts an example for all lists into mapping.toml.example.

First a look, then for good:
  elbowroom import our-shop orders.xlsx --mapping mapping.toml
  elbowroom import our-shop orders.xlsx --mapping mapping.toml --apply";

/// How reports are told.
pub(super) const RECORD_HELP: &str = "\
Examples:
  elbowroom record our-shop started  O-2601 cut --cell saw-1
  elbowroom record our-shop counted  O-2601 cut --good 1       changed over, the first piece is good
  elbowroom record our-shop counted  O-2601 cut --good 60 --scrap 2
  elbowroom record our-shop stopped  O-2601 cut --reason \"blade broken\"
  elbowroom record our-shop finished O-2601 cut --good 118 --scrap 3
  elbowroom record our-shop withdrawn O-2601 cut               the last one was a mistake
Work outside is taken as sent when it was planned to be; `stopped` says that it is still here,
`finished` that it is back.";

/// How notices are posted.
pub(super) const NOTICE_HELP: &str = "\
Examples:
  elbowroom notice our-shop                                                  lists what stands
  elbowroom notice our-shop down draw-1 --from 2026-12-09 --until 2026-12-10 --why \"spindle bearing\"
  elbowroom notice our-shop tool MD-25.4x1.65 2026-12-11                     it comes on the 11th
  elbowroom notice our-shop tube O-2601 2026-12-14
  elbowroom notice our-shop absent setters --from 2026-12-09
  elbowroom notice our-shop open draw-1 --from 2026-12-12 --hours 06:00-14:00
  elbowroom notice our-shop rush O-2601 --promised 2026-12-10 --late-cost 500
  elbowroom notice our-shop order X-1 HR-704 24 --promised 2026-12-16        not in the book yet
  elbowroom notice our-shop --remove 1                                       it is as it was again
Every verb heeds what stands; `elbowroom plan our-shop` then plans anew.";

/// What a file of cases looks like.
pub(super) const CASES_HELP: &str = "\
A file of cases:
  [[case]]
  name = \"draw-1 on Saturday\"
  [[case.notice]]
  what = \"open\"                # also down, tool, tube, absent, people, rush, cancel, order, like
  cell = \"draw-1\"
  from = \"2026-12-12\"
  hours = [\"06:00\", \"14:00\"]

  [[case]]
  name = \"200 loops by the 18th\"
  [[case.notice]]
  what = \"order\"
  id = \"ASKED-1\"
  part = \"BR-205\"
  quantity = 200
  promised = \"2026-12-18\"";
