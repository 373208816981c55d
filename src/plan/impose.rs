//! Which copy lies where, and what is printed on which page.
//!
//! Physical sheets are filled in order with the copies in order, spare ones last. Those with the same pieces in the same places are one [`Sheet`];
//! among them those that look the same in print are one [`PrintRun`].

use kurbo::Rect;

use super::artwork::{Clips, Shown, artwork, shown};
use super::demand::{Group, Item, Kind, is_machine_cut};
use super::draft::{Draft, Drafts};
use super::face_map::face_from_sheet;
use super::light::light_ticks;
use super::mark_scale::scale_ticks;
use super::marks::{Scales, clear_zones};
use super::operations::operations;
use super::reach::{printable, printed_face};
use super::ticks::{Ticked, numbered, ticks};
use super::trimmer::is_cut_to_size;
use super::{Content, Placement, PrintRun, Sheet};
use crate::drawing::AssetIndex;
use crate::project::{CutBy, Face, MarkUse, Project};

/// Returns the sheets with everything on them but the way they are cut.
pub(super) fn impose(project: &Project, groups: &[Group], drafts: &Drafts) -> Vec<Sheet> {
    let mut next: Vec<Vec<_>> = groups
        .iter()
        .map(|g| g.kinds.iter().map(Kind::items).collect())
        .collect();
    let mut clips = Clips::default();
    let mut pages = 0;
    let mut sheets = Vec::new();
    for draft in &drafts.sheets {
        let group = &groups[draft.group];
        let physical: Vec<Vec<Item>> = (0..draft.runs)
            .map(|_| take(draft, &mut next[draft.group]))
            .collect();
        sheets.push(sheet(
            project, group, draft, &physical, &mut clips, &mut pages,
        ));
    }
    sheets
}

/// The items that lie on the next physical sheet, place by place.
fn take<'a>(draft: &Draft, next: &mut [impl Iterator<Item = &'a Item>]) -> Vec<Item> {
    let items = draft.places.iter().map(|place| {
        let item = place.pinned.or_else(|| next[place.kind].next().copied());
        item.expect("a layout has no more of a piece than wanted and spare ones together")
    });
    items.collect()
}

fn sheet(
    project: &Project,
    group: &Group,
    draft: &Draft,
    physical: &[Vec<Item>],
    clips: &mut Clips,
    pages: &mut u32,
) -> Sheet {
    let ground = &draft.ground;
    let kinds = || draft.places.iter().map(|p| &group.kinds[p.kind]);
    let has_print = kinds().any(|k| k.print.is_any());
    let is_cut = kinds().any(|k| is_machine_cut(&project.pieces[k.piece]));
    let has_marks =
        has_print && (is_cut || project.job.marks == MarkUse::Always) && !ground.marks.is_empty();
    let printed = |face, has_artwork: bool| {
        let is_printed = has_artwork || (has_marks && ground.face_up == face);
        is_printed.then(|| printed_face(project, ground.size, face))
    };
    let mut sheet = Sheet {
        stock: ground.stock,
        front_is: group.side,
        width_mm: ground.size.width,
        height_mm: ground.size.height,
        runs: draft.runs,
        placements: placements(project, group, draft, &physical[0]),
        prints: runs(project, group, draft, physical, clips),
        front: printed(Face::Front, kinds().any(|k| k.print.front)),
        back: printed(Face::Back, kinds().any(|k| k.print.back)),
        marks: if has_marks {
            ground.marks.clone()
        } else {
            Vec::new()
        },
        ticks: Vec::new(),
        caption: ground.caption.filter(|_| has_print),
        usable: ground.usable,
        cut: None,
        cut_list: None,
    };
    sheet.ticks = numbered(
        both_faces(&sheet).flat_map(|face| face_ticks(project, group, draft, &sheet, face)),
    );
    let other = ground.face_up.other();
    if both_faces(&sheet).any(|face| face == other) {
        let reach = printable(project, &sheet, other);
        sheet.ticks.extend(light_ticks(&sheet.marks, other, reach));
    }
    if Scales::on(project, ground.size) == Scales::Printed {
        let face = ground.face_up;
        let to_sheet = face_from_sheet(face, ground.size, project.job.turn_over);
        let lines = scale_ticks(&sheet.marks, ground.size, face, to_sheet);
        sheet.ticks.extend(lines);
    }
    number_pages(&mut sheet, pages);
    sheet
}

fn placements(project: &Project, group: &Group, draft: &Draft, first: &[Item]) -> Vec<Placement> {
    let placed = draft.places.iter().zip(first).map(|(place, item)| {
        let index = group.kinds[place.kind].piece;
        let piece = &project.pieces[index];
        let id = item.id(piece);
        Placement {
            operations: operations(piece, &id, place.pose),
            id,
            piece: index,
            copy: item.copy,
            pose: place.pose,
            face_down: place.pose.mirrored,
            is_pinned: place.pinned.is_some(),
        }
    });
    placed.collect()
}

/// Physical sheets that look the same, joined, in the order in which each look first comes up.
fn runs(
    project: &Project,
    group: &Group,
    draft: &Draft,
    physical: &[Vec<Item>],
    clips: &mut Clips,
) -> Vec<PrintRun> {
    let mut looks: Vec<Vec<Look>> = Vec::new();
    let mut runs: Vec<PrintRun> = Vec::new();
    for items in physical {
        let places = || draft.places.iter().zip(items);
        let look =
            places().map(|(place, item)| look_of(project, group.kinds[place.kind].piece, item));
        let look: Vec<Look> = look.collect();
        let copies: Vec<u32> = items.iter().map(|i| i.copy).collect();
        if let Some(at) = looks.iter().position(|known| *known == look) {
            runs[at].times += 1;
            runs[at].copies.extend(&copies);
            runs[at].held.push(copies);
            continue;
        }
        let contents = places().map(|(place, item)| {
            let piece = group.kinds[place.kind].piece;
            Content {
                id: item.id(&project.pieces[piece]),
                edition: item.edition,
                artwork: artwork(
                    project,
                    (item.edition, Some(item.copy)),
                    piece,
                    place.pose.to_affine(),
                    clips,
                ),
            }
        });
        runs.push(PrintRun {
            front: None,
            back: None,
            times: 1,
            copies: copies.clone(),
            held: vec![copies],
            contents: contents.collect(),
        });
        looks.push(look);
    }
    for run in &mut runs {
        run.copies.sort_unstable();
        run.copies.dedup();
    }
    runs
}

/// What two copies of a piece share that look the same: the first edition with artwork like theirs, and the pictures of their rows.
type Look = (usize, Vec<Option<AssetIndex>>);

fn look_of(project: &Project, piece: usize, item: &Item) -> Look {
    let shown = shown(project, (item.edition, Some(item.copy)), piece);
    let pictures = shown.into_iter().map(Shown::picture);
    (
        edition_like(project, piece, item.edition),
        pictures.collect(),
    )
}

/// The first edition in which `piece` has artwork like that in `edition`.
fn edition_like(project: &Project, piece: usize, edition: usize) -> usize {
    let look = |e: usize| {
        project
            .artwork_of(e, piece)
            .into_iter()
            .map(|a| (a.face, &a.fill, a.bleed))
    };
    (0..edition)
        .find(|e| look(*e).eq(look(edition)))
        .unwrap_or(edition)
}

fn both_faces(sheet: &Sheet) -> impl Iterator<Item = Face> + use<> {
    let front = sheet.front.map(|_| Face::Front);
    front.into_iter().chain(sheet.back.map(|_| Face::Back))
}

fn face_ticks(
    project: &Project,
    group: &Group,
    draft: &Draft,
    sheet: &Sheet,
    face: Face,
) -> Vec<(Face, super::TickKind, kurbo::Line)> {
    let pieces: Vec<Ticked<'_>> = draft
        .places
        .iter()
        .zip(&sheet.placements)
        .map(|(place, placement)| Ticked {
            trimmed: trimmed(project, group, &group.kinds[place.kind]),
            outline: &project.pieces[placement.piece].outline,
            with_bleed: group.kinds[place.kind].bounds,
            piece_to_sheet: place.pose.to_affine(),
            operations: &placement.operations,
        })
        .collect();
    let to_sheet = face_from_sheet(face, draft.ground.size, project.job.turn_over);
    let caption = sheet.caption.map(|band| to_sheet.transform_rect_bbox(band));
    let size = draft.ground.size;
    let scales = Scales::on(project, size);
    let marks = sheet
        .marks
        .iter()
        .flat_map(|mark| clear_zones(mark, size, scales));
    let blocked: Vec<Rect> = marks.chain(caption).collect();
    ticks(face, &pieces, printable(project, sheet, face), &blocked)
}

/// The box that a piece is trimmed to. A trimmer leaves the bleed on what is finished otherwise.
fn trimmed(project: &Project, group: &Group, kind: &Kind) -> Rect {
    let piece = &project.pieces[kind.piece];
    match project.job.cut_by {
        CutBy::Trimmer if !is_cut_to_size(piece) && !group.shares_bleed => kind.bounds,
        CutBy::Trimmer | CutBy::Machine => piece.outline.bounds(),
    }
}

fn number_pages(sheet: &mut Sheet, pages: &mut u32) {
    let (has_front, has_back) = (sheet.front.is_some(), sheet.back.is_some());
    let mut page = |is_printed: bool| {
        is_printed.then(|| {
            *pages += 1;
            *pages
        })
    };
    for run in &mut sheet.prints {
        run.front = page(has_front);
        run.back = page(has_back);
    }
}
