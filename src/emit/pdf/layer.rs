//! Layers as optional content groups (ISO 32000-1, 8.11), with the processing step they stand for (ISO 19593-1).
//!
//! The names of group and types are those of the PDF Association's Arlington model, table `GTS_ProcStepsGroup`; conformance is not
//! claimed. `printpdf` writes the name alone, beside a creator that is no part of the document.

use lopdf::{Dictionary, Document, Object, dictionary, text_string};

use super::resource::Layer;
use crate::draw::page::ProcessStep;

/// Adds the groups, in the order of the layers, and returns references to them.
pub(super) fn add(file: &mut Document, layers: &[Layer]) -> Vec<Object> {
    let groups = layers
        .iter()
        .map(|layer| file.add_object(group(layer)).into());
    groups.collect()
}

/// Returns the catalog's entry for the groups: all shown, listed in this order.
pub(super) fn properties(groups: &[Object]) -> Dictionary {
    dictionary! {
        "OCGs" => groups.to_vec(),
        "D" => dictionary! { "Order" => groups.to_vec() },
    }
}

fn group(layer: &Layer) -> Dictionary {
    let mut group = dictionary! {
        "Type" => "OCG",
        "Name" => text_string(layer.name),
    };
    if let Some(step) = layer.step {
        let metadata = dictionary! {
            "GTS_ProcStepsGroup" => "Structural",
            "GTS_ProcStepsType" => step_type(step),
        };
        group.set("GTS_Metadata", metadata);
    }
    group
}

fn step_type(step: ProcessStep) -> &'static str {
    match step {
        ProcessStep::Cutting => "Cutting",
        ProcessStep::PartialCutting => "PartialCutting",
        ProcessStep::Creasing => "Creasing",
        ProcessStep::ReverseCreasing => "ReverseCreasing",
        ProcessStep::Perforating => "Perforating",
        ProcessStep::Punching => "Punching",
        ProcessStep::Bleed => "Bleed",
    }
}
