//! What to buy, what it costs and what goes into the bags, beside sums by hand.

use std::collections::BTreeMap;

use sheetwright::diagnostic::{Origin, Place};
use sheetwright::handout::{Handout, handout, kit_text, shopping_lines};
use sheetwright::length::{Length, Size};
use sheetwright::load::{Options, project as load};
use sheetwright::plan::{Effort, JobPlan, PlanOptions, plan};
use sheetwright::project::{Amount, Need, Pack, Price, Project, Supply};

fn read(text: &str) -> Project {
    let no_files = BTreeMap::new();
    let read = load("project.toml", text, &no_files, &Options::default());
    read.unwrap_or_else(|mistakes| panic!("{mistakes:?}")).value
}

fn planned(project: &Project) -> JobPlan {
    let options = PlanOptions {
        effort: Effort::Quick,
        ..PlanOptions::default()
    };
    plan(project, &options).value
}

fn worked_out(project: &Project) -> (JobPlan, Handout) {
    let plan = planned(project);
    let handout = handout(project, &plan);
    (plan, handout)
}

fn origin() -> Origin {
    Origin {
        key_path: "supply[1]".to_owned(),
        place: Place {
            file: "project.toml".to_owned(),
            span: 0..0,
        },
    }
}

fn price(text: &str) -> Price {
    let (amount, currency) = text.split_once(' ').unwrap();
    let (whole, rest) = amount.split_once('.').unwrap();
    Price {
        hundredths: format!("{whole}{rest}").parse().unwrap(),
        currency: currency.to_owned(),
    }
}

fn length(text: &str) -> Length {
    Length::parse(text, None).unwrap()
}

fn supply(name: &str, need: Need, on_hand: Amount, pack: Option<(Amount, &str)>) -> Supply {
    Supply {
        id: name.to_owned(),
        name: name.to_owned(),
        need,
        pack: pack.map(|(holds, cost)| Pack {
            holds,
            price: Some(price(cost)),
        }),
        on_hand,
        origin: origin(),
    }
}

fn lengths(each: &str, overlap: &str, per_copy: u32) -> Need {
    Need::Lengths {
        each: Size::new(length(each)).unwrap(),
        overlap: length(overlap),
        per_copy,
    }
}

/// Seed labels of 2 x 3 1/2 in: four across and three down make 12 to a letter sheet.
fn labels() -> Project {
    read(
        r#"
        sheetwright = 1
        job = { name = "Bean labels", copies = 28, spares = 3, cut_by = "trimmer", show_lengths = "inch fractions" }
        stock = [{ id = "oat", name = "Oat card", format = "letter", price = "0.35 EUR" }]
        piece = [{ id = "label", name = "Label", stock = "oat", shape = { kind = "rectangle", width = "2 in", height = "3 1/2 in" } }]
        supply = [
            { id = "ribbon", name = "Ribbon", length = "15 1/2 in", overlap = "1/2 in", pack = "120 in", price = "2.40 EUR", on_hand = "40 in" },
            { id = "brad", name = "Brad", count = 2, pack = 25, price = "1.10 EUR", on_hand = 10 },
            { id = "glue", name = "Pot of glue", once = 1, pack = 1, price = "5.20 EUR" },
        ]
        instructions = { price = { per_hour = "12 EUR", overhead = "15 %", multiple = "2.5" } }
        step = [{ text = "Cut", minutes = 15 }, { text = "Tie", minutes = 10 }, { text = "Smile" }]
        "#,
    )
}

#[test]
fn sheets_lengths_counts_and_what_is_bought_once_come_to_the_sums_by_hand() {
    let project = labels();
    let (plan, handout) = worked_out(&project);
    let list = &handout.shopping[0];
    // 28 wanted labels take 28 / 12 = 2.33, so 3 sheets; the 3 spares find room on the 36 places. 3 x 0.35 = 1.05.
    assert_eq!(plan.usage.sheets, 3);
    let oat = &list.paper[0];
    assert_eq!((oat.takes, oat.on_hand, oat.buy), (3, 0, 3));
    assert_eq!(oat.price, Some(price("1.05 EUR")));
    // 28 + 3 = 31 ribbons of 16 in with the overlap in it. The rest of 40 in holds 2 of them (32 in), which leaves 29. A roll of 120 in
    // holds 7 whole (112 in): 29 / 7 = 4.14, so 5 rolls, though 29 x 16 = 464 in are less than 4 rolls of 120 in. 5 x 2.40 = 12.00.
    let ribbon = &list.supplies[0];
    assert_eq!(ribbon.lengths, Some((length("16 in"), 31)));
    assert_eq!(ribbon.needs, Amount::Length(length("496 in")));
    assert_eq!(ribbon.on_hand, Amount::Length(length("32 in")));
    assert_eq!(ribbon.packs, 5);
    assert_eq!(ribbon.price, Some(price("12.00 EUR")));
    // 2 x 31 = 62 brads, 10 are there, 52 / 25 = 2.08: 3 packs, 3.30. One pot of glue, 5.20.
    assert_eq!((list.supplies[1].packs, list.supplies[2].packs), (3, 1));
    assert_eq!(list.supplies[1].needs, Amount::Count(62));
    // 1.05 + 12.00 + 3.30 + 5.20 = 21.55.
    assert_eq!(list.sums, [price("21.55 EUR")]);
    assert_eq!(
        shopping_lines(&project, &handout.shopping),
        [
            "to buy: 3 sheets of Oat card, 5 packs of 120 in of Ribbon, 3 packs of 25 of Brad, 1 x Pot of glue; 21.55 EUR"
        ]
    );
}

#[test]
fn one_copy_costs_what_it_uses_up_and_all_what_is_bought() {
    let project = labels();
    let (_, handout) = worked_out(&project);
    let cost = handout.cost.unwrap();
    let words = |price: &Option<Price>| price.as_ref().map(Price::to_string);
    // Paper: 105 hundredths over 31 labels, spares with them: 3.387. Ribbon: 240 / 7 = 34.286. Brads: 2 x 110 / 25 = 8.8. Glue for all:
    // 520 / 28 = 18.571. Together 65.04, so 66 hundredths.
    assert_eq!(cost.one.materials.to_string(), "0.66 EUR");
    // 15 + 10 minutes at 12.00 an hour are 5.00. 15 % of 5.66 are 0.849, told as 0.85; (0.66 + 5.00 + 0.85) x 2.5 = 16.275.
    assert_eq!(cost.one.minutes, Some(25));
    assert_eq!(words(&cost.one.work).as_deref(), Some("5.00 EUR"));
    assert_eq!(words(&cost.one.overhead).as_deref(), Some("0.85 EUR"));
    assert_eq!(words(&cost.one.asks).as_deref(), Some("16.28 EUR"));
    // 28 x 25 = 700 minutes are 140.00; 15 % of 161.55 are 24.2325, told as 24.23; (161.55 + 24.23) x 2.5 = 464.45.
    assert_eq!((cost.copies, cost.all.minutes), (28, Some(700)));
    assert_eq!(cost.all.materials.to_string(), "21.55 EUR");
    assert_eq!(words(&cost.all.work).as_deref(), Some("140.00 EUR"));
    assert_eq!(words(&cost.all.asks).as_deref(), Some("464.45 EUR"));
    assert!(cost.unpriced.is_empty());
}

#[test]
fn shares_of_a_whole_hundredth_are_not_rounded_past_it() {
    let mut project = labels();
    project.supplies.truncate(1);
    project.supplies[0].pack = Some(Pack {
        holds: Amount::Length(length("49 in")),
        price: Some(price("0.02 EUR")),
    });
    project.supplies[0].need = lengths("16 in", "0 in", 3);
    project.stocks[0].price = Some(price("0.31 EUR"));
    let (_, handout) = worked_out(&project);
    // Paper: 3 sheets of 31 hundredths over 31 labels are 3. A roll holds 3 lengths, and a copy takes them all: 2. Together 5.
    assert_eq!(handout.cost.unwrap().one.materials.to_string(), "0.05 EUR");
}

/// Two editions on papers of their own, with bands of one paper: 8 x 2 in, five to a letter sheet.
fn bands(cream: &str) -> Project {
    let mut project = read(&format!(
        r#"
        sheetwright = 1
        job = {{ name = "Swap morning", cut_by = "trimmer", show_lengths = "mm" }}
        stock = [
            {{ id = "sage", name = "Sage card", format = "letter", price = "0.40 EUR" }},
            {{ id = "plum", name = "Plum card", format = "letter", price = "0.45 USD" }},
            {{ id = "cream", name = "Cream paper", format = "letter", price = "0.10 EUR"{cream} }},
        ]
        piece = [
            {{ id = "label", name = "Label", stock = "sage", shape = {{ kind = "rectangle", width = "2 in", height = "3 1/2 in" }} }},
            {{ id = "band", name = "Band", stock = "cream", shape = {{ kind = "rectangle", width = "8 in", height = "2 in" }} }},
        ]
        edition = [
            {{ id = "a", name = "Sage", copies = 7, spares = 1 }},
            {{ id = "b", name = "Plum", copies = 8, spares = 1, stock = {{ sage = "plum" }} }},
        ]
        "#
    ));
    project.supplies = vec![
        supply(
            "Thread",
            lengths("260 mm", "10 mm", 2),
            Amount::Length(length("1 m")),
            Some((Amount::Length(length("5 m")), "1.95 EUR")),
        ),
        supply(
            "Foam pad",
            Need::Count { per_copy: 4 },
            Amount::Count(0),
            Some((Amount::Count(100), "2.00 EUR")),
        ),
        supply("Tape", Need::Once { count: 2 }, Amount::Count(1), None),
    ];
    project
}

#[test]
fn what_editions_share_stands_in_the_first_list_and_lists_add_up_to_the_plan() {
    let project = bands("");
    let (plan, handout) = worked_out(&project);
    let [a, b] = &handout.shopping[..] else {
        panic!("two editions, two lists");
    };
    // 7 and 8 labels of two papers: a sheet each. 7 + 8 = 15 bands fill 3 sheets of 5: 5 of the first edition, 2 and 3, 5 of the second;
    // the shared sheet counts for the first, which makes 2 and 1.
    let takes = |list: &sheetwright::handout::ShoppingList| -> Vec<(usize, u32)> {
        list.paper.iter().map(|b| (b.stock, b.takes)).collect()
    };
    assert_eq!(takes(a), [(0, 1), (2, 2)]);
    assert_eq!(takes(b), [(1, 1), (2, 1)]);
    assert_eq!(plan.usage.sheets, 5);
    // Thread: 2 x 8 = 16 and 2 x 9 = 18 lengths. 1 m on hand holds 3 of 260 mm, which leaves 13; a reel of 5 m holds 19 (4940 mm). One
    // reel for the first 13, and 31 in all take 2, so one more.
    let thread: Vec<u32> = [a, b].iter().map(|l| l.supplies[0].packs).collect();
    assert_eq!(thread, [1, 1]);
    assert_eq!(a.supplies[0].on_hand, Amount::Length(length("780 mm")));
    assert_eq!(b.supplies[0].on_hand, Amount::Length(Length::ZERO));
    // Pads: 32 and 36 come out of one pack of 100, which the first edition opens. Tape: 2 rolls for all, one is there.
    let pads: Vec<u32> = [a, b].iter().map(|l| l.supplies[1].packs).collect();
    assert_eq!(pads, [1, 0]);
    assert_eq!((a.supplies[2].packs, b.supplies.len()), (1, 2));
    // 0.40 + 2 x 0.10 + 1.95 + 2.00 = 4.55 EUR; 0.45 USD and 0.10 + 1.95 = 2.05 EUR.
    assert_eq!(a.sums, [price("4.55 EUR")]);
    assert_eq!(b.sums, [price("0.45 USD"), price("2.05 EUR")]);
    // Two currencies are not added.
    assert_eq!(handout.cost, None);
    let why = handout.no_cost.unwrap();
    assert!(why.contains("EUR and USD"), "{why}");
}

#[test]
fn sheets_on_hand_are_taken_off_and_lacking_ones_are_bought() {
    let enough = bands(", on_hand = 4");
    let (_, handout) = worked_out(&enough);
    let cream = |list: usize| {
        let list = &handout.shopping[list].paper[1];
        (list.takes, list.on_hand, list.lacks, list.buy)
    };
    assert_eq!((cream(0), cream(1)), ((2, 2, 0, 0), (1, 1, 0, 0)));
    // Of 15 bands 2 sheets hold 10: the last 5, all of the second edition, want one sheet more.
    let short = bands(", on_hand = 2");
    let (plan, handout) = worked_out(&short);
    assert_eq!(plan.unplaced.len(), 1);
    let cream = |list: usize| {
        let list = &handout.shopping[list].paper[1];
        (list.takes, list.on_hand, list.lacks, list.buy)
    };
    assert_eq!((cream(0), cream(1)), ((2, 2, 0, 0), (0, 0, 1, 1)));
    let text = kit_text(&short, &handout);
    assert_eq!(text.shopping[1].rows[1].needs, "1 sheet");
    let note = &text.shopping[1].notes[0];
    assert!(note.starts_with("1 sheet of Cream paper more"), "{note}");
}

/// Labels of 4 x 3 1/2 in: six to a letter sheet, two to an offcut of 8 1/2 x 4 in, of which there are two.
fn offcuts(on_hand: &str) -> Project {
    read(&format!(
        r#"
        sheetwright = 1
        job = {{ name = "Swap morning", copies = 12, cut_by = "trimmer", show_lengths = "inch fractions" }}
        stock = [
            {{ id = "oat", name = "Oat card", format = "letter", price = "0.50 EUR"{on_hand} }},
            {{ id = "oat-1", format = "8 1/2 x 4 in", offcut_of = "oat", on_hand = 2 }},
        ]
        piece = [{{ id = "label", stock = "oat", shape = {{ kind = "rectangle", width = "4 in", height = "3 1/2 in" }} }}]
        "#
    ))
}

#[test]
fn offcuts_are_used_first_and_never_bought() {
    let project = offcuts("");
    let (plan, handout) = worked_out(&project);
    // 2 offcuts hold 4 labels, and 8 more take 8 / 6 = 1.33, so 2 sheets: 1.00.
    assert_eq!(plan.usage.sheets, 4);
    let [oat] = &handout.shopping[0].paper[..] else {
        panic!("an offcut is no paper to buy");
    };
    assert_eq!((oat.stock, oat.takes, oat.offcuts, oat.buy), (0, 2, 2, 2));
    assert_eq!(handout.shopping[0].sums, [price("1.00 EUR")]);
    // A copy's share: 2 sheets of 50, and 2 offcuts of 4/11 of that, 136.36 over 12 copies are 11.36, so 12 hundredths.
    let cost = handout.cost.as_ref().unwrap();
    assert_eq!(cost.one.materials.to_string(), "0.12 EUR");
    let text = kit_text(&project, &handout);
    let row = &text.shopping[0].rows[0];
    let shown = [&row.what, &row.needs, &row.there, &row.buy, &row.price];
    assert_eq!(
        shown,
        [
            "Oat card, 8 1/2 in x 11 in",
            "2 sheets and 2 offcuts",
            "2 offcuts",
            "2 sheets",
            "1.00 EUR"
        ]
    );
}

#[test]
fn a_sheet_on_hand_and_offcuts_leave_one_sheet_to_buy() {
    let project = offcuts(", on_hand = 1");
    let (plan, handout) = worked_out(&project);
    // 4 labels on the offcuts and 6 on the sheet leave 2, for which one sheet more is enough.
    assert_eq!(plan.unplaced[0].count, 2);
    let oat = &handout.shopping[0].paper[0];
    assert_eq!((oat.takes, oat.offcuts, oat.on_hand), (1, 2, 1));
    assert_eq!((oat.lacks, oat.buy), (1, 1));
}

#[test]
fn every_bag_holds_the_pieces_and_supplies_of_one_copy() {
    let project = bands("");
    let (_, handout) = worked_out(&project);
    let text = kit_text(&project, &handout);
    assert_eq!(text.kit[1].heading, "In each of the 8 bags for Plum");
    let own = |stock: &str| {
        vec![
            format!("1 x Label, {stock}"),
            "1 x Band, Cream paper".to_owned(),
            "2 x 260 mm of Thread".to_owned(),
            "4 x Foam pad".to_owned(),
        ]
    };
    assert_eq!(text.kit[0].lines, own("Sage card"));
    assert_eq!(text.kit[1].lines, own("Plum card"));
    let label = text.labels[1].lines(8);
    assert_eq!(label[..2], ["Swap morning", "Plum, bag 8 of 8"]);
    assert_eq!(label[2..], own("Plum card"));
}

#[test]
fn lists_of_many_editions_hold_every_sheet_of_the_plan_once() {
    // Editions of 1 to 9 copies share sheets of 12 in every way.
    for (seed, sizes) in [[1, 9, 2, 8], [5, 5, 5, 5], [9, 1, 7, 3], [2, 2, 2, 31]]
        .iter()
        .enumerate()
    {
        let editions: Vec<String> = sizes
            .iter()
            .enumerate()
            .map(|(i, n)| {
                format!(
                    "{{ id = \"e{i}\", copies = {n}, spares = {} }}",
                    (seed + i) % 3
                )
            })
            .collect();
        let project = read(&format!(
            r#"
            sheetwright = 1
            job = {{ name = "Labels", cut_by = "trimmer" }}
            stock = [{{ id = "oat", format = "letter" }}]
            piece = [{{ id = "label", stock = "oat", shape = {{ kind = "rectangle", width = "2 in", height = "3 1/2 in" }} }}]
            edition = [{}]
            "#,
            editions.join(", ")
        ));
        let (plan, handout) = worked_out(&project);
        let paper = handout.shopping.iter().flat_map(|list| &list.paper);
        let taken: u32 = paper.map(|bought| bought.takes).sum();
        assert_eq!(taken, plan.usage.sheets, "{sizes:?}");
        // The first edition opens the first sheet.
        assert!(handout.shopping[0].paper[0].takes >= 1, "{sizes:?}");
    }
}
