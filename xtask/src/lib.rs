//! The house rules, checked.
