//! Whether a machine can make a part, with what, how long, how good.
//!
//! [`assess`] asks one machine, [`Study`] asks many about one part. An [`Assessment`] names every
//! reason why not; where a part can be made it also says what to mount, how long a piece takes and
//! what quality to expect. Of a process with several ways (rotary draw without mandrel, with a
//! plug, with balls) the one with the least support that passes is taken, and why less was not
//! enough is kept.

mod assessment;
mod blank;
mod caution;
mod changeover;
mod check;
mod choose;
mod cycle;
mod direction;
mod expect;
mod finding;
mod machine;
mod rule;
mod serves;
mod study;
mod tools;
mod watch;
mod way;

pub use assessment::{Assessment, assess};
pub use changeover::{Mounted, changeover, full_changeover};
pub use choose::{Bid, Choice, Worth, cheapest, choose};
pub use direction::Direction;
pub use expect::{BendExpected, Expected};
pub use finding::{Amount, Caution, Finding, Refusal, Sense, Subject, sentences};
pub use machine::{Hand, MachineLimits};
pub use rule::Rule;
pub use serves::{Difference, Match, serves};
pub use study::Study;
pub use watch::Watch;
pub use way::Way;
