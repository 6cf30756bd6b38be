//! The codes of findings; each keeps its meaning over releases.
//!
//! F1xx: a file cannot be read. F2xx: a key or value. F3xx: files do not fit together. F4xx: the
//! CSV order book. F6xx: it can be planned, but looks wrong.

macro_rules! codes {
    ($($(#[doc = $meaning:literal])+ $name:ident = $code:literal;)+) => {
        $($(#[doc = $meaning])+ pub const $name: &str = $code;)+

        /// Every code with its meaning, in order.
        pub const ALL: &[(&str, &str)] = &[$(($code, concat!($($meaning),+))),+];
    };
}

codes! {
    /// A file or folder that is needed is not there.
    MISSING_FILE = "F101";
    /// A file is larger than this program reads.
    TOO_LARGE = "F102";
    /// A file holds bytes that are not UTF-8 text.
    NOT_UTF8 = "F103";
    /// A file is not well-formed TOML.
    SYNTAX = "F104";
    /// A folder, device or link stands where a file was expected, or the reverse.
    NOT_A_FILE = "F105";
    /// A file cannot be opened or read.
    UNREADABLE = "F106";
    /// A file holds nothing.
    EMPTY_FILE = "F107";
    /// A file of the shop folder is not known.
    UNKNOWN_FILE = "F108";
    /// A file has more findings than are shown.
    UNSHOWN = "F109";

    /// A key or table is not known.
    UNKNOWN_KEY = "F201";
    /// A key or table that is needed is not there.
    MISSING_KEY = "F202";
    /// A value is of another type than expected.
    WRONG_TYPE = "F203";
    /// A value is out of its range.
    OUT_OF_RANGE = "F204";
    /// A quantity has no unit or cannot be read.
    QUANTITY = "F205";
    /// A date or clock time cannot be read.
    DATE_OR_TIME = "F206";
    /// A word is none of those expected.
    UNKNOWN_WORD = "F207";
    /// An id is empty, too long, or has blanks at an end.
    BAD_ID = "F208";
    /// Keys of one thing contradict each other.
    CONTRADICTION = "F209";
    /// A time zone is not known.
    TIME_ZONE = "F210";
    /// A shape cannot be bent from a tube.
    SHAPE = "F211";
    /// Shifts or breaks do not fit the day.
    SHIFT = "F212";

    /// An id is given twice.
    DUPLICATE = "F301";
    /// An id is referred to that nothing has.
    UNKNOWN_REFERENCE = "F302";
    /// A tool is in two places, or work is on a cell that cannot do it.
    IMPOSSIBLE = "F303";

    /// The header of a CSV file cannot be used.
    CSV_HEADER = "F401";
    /// A row of a CSV file has another number of fields than the header.
    CSV_FIELDS = "F402";
    /// A number is written with a decimal comma or grouping.
    DECIMAL_COMMA = "F403";
    /// How a CSV file is separated.
    CSV_SEPARATOR = "F404";
    /// A column of a CSV file is not known and not read.
    CSV_UNKNOWN_COLUMN = "F405";

    /// A date lies before the plan.
    PAST_DATE = "F601";
    /// A tool fits no tube that the shop stocks.
    TOOL_WITHOUT_TUBE = "F602";
    /// Material arrives after the promised date.
    LATE_MATERIAL = "F603";
    /// Shifts of a calendar overlap.
    OVERLAPPING_SHIFTS = "F604";
    /// A tube is of no standard size.
    ODD_SIZE = "F605";
    /// There is nothing to plan.
    NO_ORDERS = "F606";
    /// A customer is not listed, and one with nearly that name is.
    UNLISTED_CUSTOMER = "F607";
    /// Two holidays, closures or absences say the same.
    REPEATED = "F608";
    /// A tool has made more bends than it lasts for.
    WORN_OUT = "F609";

    /// The planner noticed something while it compiled the shop.
    PLANNING = "F701";
    /// An order cannot be made by any cell; the rest is planned.
    CANNOT_BE_MADE = "F702";
}
