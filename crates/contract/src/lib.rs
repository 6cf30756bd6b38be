//! Problem and schedule files: the contract in its written form (JSON).
