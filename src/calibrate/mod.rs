//! A printer or a cutting machine measured: the chart that is printed, and the profile that readings or a scan of it give.
//!
//! [`chart`] says where everything on the chart lies.

pub mod chart;
