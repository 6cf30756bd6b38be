//! Bending knowledge: which processes can make this part, with what, how long, how good.
//!
//! Pure functions over round tube. This crate knows no cells' calendars, no orders, no files and
//! no scheduling; every number that a shop may want to change comes in through [`rules`].
//!
//! # From a drawing to an answer
//! 1. A [`shape::Shape`] is made from points or rows; what cannot be is refused with the bend, the
//!    values and a remedy ([`shape::ShapeFault`]).
//! 2. With its tube, material and quality it is a [`piece::Piece`].
//! 3. [`fit::assess`] asks a machine ([`fit::MachineLimits`]) about it by the shop's
//!    [`rules::Rules`]; [`fit::Study`] asks many machines about one piece.
//! 4. The [`fit::Assessment`] names every reason why not ([`fit::Refusal`]: rule, bends, value,
//!    limit), what to mount, times, blank and the quality to expect. [`fit::serves`] compares a tool
//!    with a need, [`fit::changeover`] counts what differs on a machine, [`fit::choose`] says which
//!    way a bender would take, [`fit::cheapest`] the same of ways with their costs.
//!
//! # The formulas and their sources
//! `OD` outside diameter, `t` wall, `R` centreline radius (CLR), `theta` bend angle, `Sy` yield
//! strength, `E` modulus. Bend factor is `R/OD`, wall factor `OD/t`, always with the real diameter
//! (pipe has a nominal size that is another number), severity `(OD/t)/(R/OD)`.
//!
//! | what | formula | source | where |
//! |---|---|---|---|
//! | arc, setback, chord, rise, gain | `R theta`, `R tan(theta/2)`, `2 R sin(theta/2)`, `R (1 - cos(theta/2))`, two setbacks less the arc | mathematics | [`geometry::arc`] |
//! | angle and rotation from points | `atan2` of vector and scalar products; rotation = torsion angle | mathematics; IUPAC Gold Book T06406 | [`geometry`] |
//! | coil length | `n sqrt((pi D)^2 + p^2)` | mathematics | [`geometry::coil`] |
//! | box of the tube | centreline's extremes, and `r sqrt(1 - d^2)` beyond them across a direction `d` | mathematics | [`geometry::centreline`] |
//! | tube running into itself | centrelines nearer than `OD` although at least `pi OD/2` apart along the tube | Schur's comparison theorem | [`geometry::clash`] |
//! | floor and reach | heights and distances of the formed end at each bend | simple envelope, common practice | [`geometry::sweep`] |
//! | blank | straights + `(R - share x shift) theta x factor` + trims + what the ends lack to be held | mathematics; factor 0.97 to 1.00, common practice | [`fit`] |
//! | neutral axis shift | `R - sqrt(R^2 - r^2)`, `r = (OD - t)/2` | textbooks on plastic bending, from memory; for tube common practice | [`mechanics::wall`] |
//! | wall outside, inside | `t R/(R + OD/2)`, `t R/(R - OD/2)` | Tingley, guide to rotary draw tube bending | [`mechanics::wall`] |
//! | stretch of the outside | `OD/(2 R)` | Tingley; Sloderbach and Pajak, 2015 | [`mechanics::wall`] |
//! | ovality | `100 (Dmax - Dmin)/Dnom`; estimate `a (OD/R)(OD/t/20)^b` | ASME B16.49; form of a U-tube producer's allowance, coefficients common practice | [`mechanics::ovality`] |
//! | springback | `k = (2/pi)(asin s + s sqrt(1 - s^2))`, `s = Sy R/(E r)`; bend to `theta/(1 - k)` with a radius of `R (1 - k)` | beam theory of an elastic, ideally plastic tube | [`mechanics::springback`] |
//! | wrinkles | bands of severity for each support | ratio a tooling maker's page, bands common practice | [`mechanics::difficulty`] |
//! | difficulty | `(4 + 0.2 OD/t + theta/180)/(R/OD)`, 7 or less is simple | Tingley | [`mechanics::difficulty`] |
//! | section | `A`, `I`, `S = 2 I/OD`, `Z = (OD^3 - d^3)/6` | mathematics | [`section`] |
//! | bending moment | `Sy Z x factor` | plastic moment; factor common practice | [`section`] |
//! | mass | density x area x length | mathematics | [`section`] |
//! | setup | program + alignment + taking off + putting on, by tool | common practice | [`fit::changeover`] |
//! | cycle | sums of the machine's motions | common practice | [`fit`] |
//! | washing | share x cycle where lubricant was inside | common practice | [`fit`] |
//! | bars | whole pieces of blank and kerf in a bar | mathematics | [`blank`] |
//! | walls by pressure codes | tables and factors of ASME B31.1, B31.3, TEMA | the codes as quoted; orientation only | [`mechanics::code`] |
//!
//! # Which way of bending
//! The limits are thresholds on bend factor, wall factor, severity, straights, planes and radii:
//! rules of thumb of the trade, each with its source beside it in `config/processes.toml`.
//! - **Rotary draw** draws the tube around a die, one die for each diameter and radius. Bare where
//!   the tube is thick and the bend wide, with a plug mandrel in between, with a ball mandrel where it
//!   is tight or thin, with a wiper where the inside would wrinkle. It needs a straight to clamp
//!   between bends and leaves lubricant inside where there is a mandrel.
//! - **Twin-head compression** wipes the tube around two dies at once: halves the strokes of
//!   symmetrical planar parts, dry, but not round and not tight.
//! - **Three rolls** make large radii, one at a time, and leave flat ends that are cut off.
//! - **Free-form** pushes the tube through a moving ring: any radii above three diameters, any
//!   planes, no straights needed, no die for each radius.
//!
//! # Limits of this knowledge
//! Estimates for planning; the first article and the tooling maker decide ([`cautions`]). Round tube
//! only. Springback without hardening, so it is corrected by a factor. The envelope check sees the
//! formed end at each bend and neither the turn between bends nor the machine's own shape. Nothing
//! here is a design of a pressure, structural or vehicle part.

pub mod blank;
pub mod cautions;
pub mod fit;
pub mod geometry;
pub mod material;
pub mod mechanics;
pub mod piece;
pub mod process;
pub mod rules;
pub mod section;
pub mod shape;
pub mod stock;
pub mod tooling;
pub mod tube;
