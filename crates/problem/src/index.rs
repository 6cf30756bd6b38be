//! Typed indices: an index into jobs cannot index cells.

/// Declares an index type into one list of a problem.
macro_rules! index {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(u32);

        impl $name {
            /// The index of the element at `position` of its list.
            ///
            /// # Panics
            /// If `position` does not fit 32 bits; no list that a computer can hold here is longer.
            #[must_use]
            pub fn new(position: usize) -> Self {
                Self(u32::try_from(position).expect("a list of a problem has fewer than 2^32 elements"))
            }

            /// The position in its list.
            #[must_use]
            pub fn get(self) -> usize {
                self.0 as usize
            }
        }
    };
}

index!(
    /// Position of a job in [`crate::Parts::jobs`].
    JobIdx
);
index!(
    /// Position of a cell in [`crate::Parts::cells`].
    CellIdx
);
index!(
    /// Position of a tool in [`crate::Parts::tools`].
    ToolIdx
);
index!(
    /// Position of a crew in [`crate::Parts::crews`].
    CrewIdx
);

/// Names one option of a problem: its job, route, operation and place in the operation's list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct OptionIdx {
    /// The job.
    pub job: JobIdx,
    /// Position in the job's routes.
    pub route: usize,
    /// Position in the route's operations.
    pub operation: usize,
    /// Position in the operation's options.
    pub option: usize,
}
