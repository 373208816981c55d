//! Everything physical, decided: which piece lies where on which sheet, what is printed on which page, what is cut in which order.
//!
//! [`file`] is the plan as it stands in `plan.json`.

pub mod file;
