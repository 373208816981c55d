//! Everything physical, decided: which piece lies where on which sheet, what is printed on which page, what is cut in which order.
//!
//! [`file`] is the plan as it stands in `plan.json`; [`place`] is the door of the layout engine.

pub mod file;
pub mod place;
