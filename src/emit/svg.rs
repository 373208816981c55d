//! A [`CutSheet`] as SVG text.
//!
//! Cutting programs read very different parts of SVG, so the file uses as little of it as possible: one unit is one millimetre,
//! paths know only absolute `M L C Z`, and there is no transform, style sheet, class, clip, `use`, text or image. What a line means
//! stands in the id of its group; its colour is for people.

use svg::node::Text;
use svg::node::element::{Description, Group, Path, SVG, Title};

use super::number;
use crate::draw::page::{CutLayer, CutPath, CutSheet};
use crate::geometry::path_data::to_path_data;

/// Decimals of a millimetre: 0.1 µm, a hundredth of what verification can tell apart.
const DECIMALS: usize = 4;

/// Width of the lines on screen, in millimetres.
const LINE_MM: f64 = 0.2;

/// Returns the file.
#[must_use]
pub fn write(sheet: &CutSheet) -> String {
    let (width, height) = (mm(sheet.width_mm), mm(sheet.height_mm));
    let root = SVG::new()
        .set("xmlns", "http://www.w3.org/2000/svg")
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", format!("0 0 {width} {height}"))
        .add(Title::new(sheet.title.as_str()))
        .add(Description::new().add(Text::new(sheet.note.as_str())));
    let root = sheet.layers.iter().fold(root, |root, l| root.add(layer(l)));
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{root}\n")
}

fn layer(layer: &CutLayer) -> Group {
    let group = Group::new()
        .set("id", layer.name)
        .set("fill", "none")
        .set("stroke", layer.colour.to_hex())
        .set("stroke-width", mm(LINE_MM))
        .add(Title::new(layer.name));
    layer
        .paths
        .iter()
        .fold(group, |group, p| group.add(path(p)))
}

fn path(path: &CutPath) -> Path {
    Path::new()
        .set("id", xml_id(&path.id))
        .set("d", to_path_data(&path.path, DECIMALS))
        .add(Title::new(path.title.as_str()))
}

/// Returns the plan's id with `/` and `#`, which mean something else in links to parts of a file, as `.` and `_`.
fn xml_id(plan_id: &str) -> String {
    plan_id.replace('/', ".").replace('#', "_")
}

fn mm(length_mm: f64) -> String {
    number::fixed(length_mm, DECIMALS)
}

#[cfg(test)]
mod tests {
    use kurbo::BezPath;
    use resvg::tiny_skia::{Pixmap, Transform};

    use super::*;
    use crate::drawing::Colour;

    fn sheet(layers: Vec<CutLayer>) -> CutSheet {
        CutSheet {
            title: "Seeds & bulbs".into(),
            note: "This drawing is 110 x 40.5 mm.".into(),
            width_mm: 110.0,
            height_mm: 40.5,
            layers,
        }
    }

    fn layer(name: &'static str, id: &str, data: &str) -> CutLayer {
        CutLayer {
            name,
            colour: Colour::rgb(0x2f, 0x68, 0x80),
            paths: vec![CutPath {
                id: id.into(),
                title: "Label".into(),
                path: BezPath::from_svg(data).unwrap(),
            }],
        }
    }

    #[test]
    fn a_file_is_spelled_with_little_of_svg() {
        let data = "M 5 7.00004 L 55.12347 7 C 60 7 60 -0.00001 55 12 Z";
        let expected = r##"<?xml version="1.0" encoding="UTF-8"?>
<svg height="40.5mm" viewBox="0 0 110 40.5" width="110mm" xmlns="http://www.w3.org/2000/svg">
<title>Seeds &amp; bulbs</title>
<desc>This drawing is 110 x 40.5 mm.</desc>
<g fill="none" id="crease" stroke="#2f6880" stroke-width="0.2">
<title>crease</title>
<path d="M 5 7 L 55.1235 7 C 60 7 60 0 55 12 Z" id="tin.lid_3.crease-2">
<title>Label</title>
</path>
</g>
</svg>
"##;
        assert_eq!(
            write(&sheet(vec![layer("crease", "tin/lid#3.crease-2", data)])),
            expected
        );
    }

    #[test]
    fn layers_and_paths_keep_their_order() {
        let mut cut = layer("cut", "b.outline", "M 0 0 L 9 0 L 9 9 Z");
        cut.paths
            .extend(layer("cut", "a.outline", "M 0 0 L 9 0 L 9 9 Z").paths);
        let text = write(&sheet(vec![
            layer("reference", "m1", "M 0 0 L 3 0"),
            layer("crease", "z", "M 0 0 L 3 0"),
            cut,
        ]));
        let at = |needle: &str| text.find(needle).unwrap();
        let places = [
            "id=\"reference\"",
            "id=\"crease\"",
            "id=\"cut\"",
            "id=\"b.outline\"",
            "id=\"a.outline\"",
        ]
        .map(at);
        assert!(places.is_sorted(), "{places:?}");
    }

    #[test]
    fn a_renderer_finds_100_mm_where_100_mm_were_meant() {
        // 1 in = 96 px = 25.4 mm (CSS Values and Units, absolute lengths) is how the renderer reads mm; 50 of its pixels are then one
        // millimetre.
        let text = write(&sheet(vec![layer("cut", "line", "M 5 20 L 105 20")]));
        let tree = usvg::Tree::from_str(&text, &usvg::Options::default()).unwrap();
        let px_per_mm = 50.0_f32;
        let scale = px_per_mm * 25.4 / 96.0;
        let mut pixels = Pixmap::new(110 * 50, 2025).unwrap();
        resvg::render(
            &tree,
            Transform::from_scale(scale, scale),
            &mut pixels.as_mut(),
        );
        let row: Vec<f64> = (0..pixels.width())
            .map(|x| f64::from(pixels.pixel(x, 20 * 50).unwrap().alpha()) / 255.0)
            .collect();
        let length_mm = row.iter().sum::<f64>() / 50.0;
        assert!((length_mm - 100.0).abs() < 0.02, "{length_mm}");
        let first = row.iter().position(|a| *a > 0.0).unwrap();
        let start_mm = (f64::from(u32::try_from(first).unwrap()) + 1.0 - row[first]) / 50.0;
        assert!((start_mm - 5.0).abs() < 0.02, "{start_mm}");
    }
}
