//! Targets and sheet edges found in pictures of printed sheets.
