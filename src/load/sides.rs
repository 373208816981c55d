//! A value for all four sides, or one for each.

use toml::de::DeValue;

use super::value::Value;
use crate::project::Edges;

/// Reads one value for all sides, or a table with top, right, bottom and left.
pub(super) fn read<'a, T: Copy>(
    value: &Value<'a>,
    one: impl Fn(&Value<'a>) -> Option<T>,
) -> Option<Edges<T>> {
    let DeValue::Table(_) = value.get() else {
        return one(value).map(Edges::all);
    };
    let table = value.table()?;
    let example = |side: &str| format!("{side} = \"1/4 in\"");
    let side = |key: &'static str| table.required(key, &example(key), &one);
    let (top, right, bottom, left) = (side("top"), side("right"), side("bottom"), side("left"));
    table.close();
    Some(Edges {
        top: top?,
        right: right?,
        bottom: bottom?,
        left: left?,
    })
}
