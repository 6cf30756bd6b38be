//! The rules of the contract, one file each; shares nothing with the engine.
