//! Behaviour seen from outside, one module for each promise.

#![expect(
    clippy::unwrap_used,
    reason = "a failed step of a test is a failed test, also where it is shared"
)]

// What is kept of pictures and outlines from files, and what is refused.
mod artwork_files;
mod artwork_pictures;
mod patterned;
mod whole_sheets;
mod worded;

// What is said of projects that are wrong.
mod bad_projects;

// The chart read by eye, and the sample readings.
mod calibrate_commands;
mod calibrate_eye;
mod calibration_samples;

// A folder on disk, as a project's files come from it.
mod fold_double_slider;
mod folder;

// Which projects are read, and as what.
mod good_projects;
mod table_projects;

// What pages, cut files and pictures of a plan look like, and the plan they are made of.
mod drawing_cut_files;
mod drawing_pages;
mod drawing_raster;
mod drawing_sample;

// What folded objects look like, and which way up they read.
mod folded_by_hand;
mod folded_picture;
mod folded_reading;

// Maps fitted to measured points, and how far they may be wrong.
mod fit_error;
mod registration_vectors;

// A printed sheet found, and its cut file moved.
mod register_typed;

// Constructions of any size, folded, spoilt, and folded again by other libraries.
mod constructed;
mod fold_constructions;
mod fold_mutants;
mod folded_outside;

// What lies on the maker's table.
mod handout_order;
mod handout_scores;

// How lengths are spelled, read and shown.
mod length_spellings;

// How large a sheet is, and what it is called.
mod paper_formats;

// Projects made by hand for the tests of the plan.
mod plan_project;

// Which piece lies where, on how many sheets.
mod plan_layout;

// Pieces that lie askew or front down.
mod plan_poses;

// Bleed between neighbours.
mod plan_bleed;

// Small pieces held in their sheet.
mod plan_nicks;

// Pieces pinned by hand.
mod plan_pins;

// What does not fit, and what would help.
mod plan_unplaced;

// What is told while a layout is looked for, how the search is stopped, and what other choices would come to.
mod plan_search;

// Which pieces come out of one leftover.
mod leftover_tried;

// What to buy for a plan, and what it costs.
mod shopping;

// Which spares come along.
// Which spares come along, and what need not be made.
mod plan_spares;
mod plan_there;

// Offcuts of any outline.
mod plan_offcuts;

// Offcuts worth keeping.
mod leftovers;

// The list of paper on hand.
mod booking;

// What holds for the layout of any kit.
mod layout_engine;
// How a sheet is cut by hand, and whether that leaves the pieces.
mod plan_trimmer;

// Both faces, marks, cut order, and what devices can take.
mod plan_print;

// Printers and cutters whose errors are known, and pages and cut files that make up for them.
mod calibrated;
mod plan_budget;
mod plan_calibrated;
mod print_calibrated;

// Which damages to a plan are found.
mod plan_check;

// How a plan is written down.
mod plan_file;

// Two check values of the trade.
mod trade_facts;

// Who may import whom, and who may touch the world.
mod structure;

// Documents, as other programs see them.
mod pdf;
mod tool;

// What the proof finds: damage to files, pages that print otherwise, plans that contradict themselves, hostile files.
mod verify_finds;
mod verify_folded;
mod verify_hostile;
mod verify_pages;
mod verify_plan;

// Edges of offcuts.
mod verify_offcuts;

// The same on folders the program made.
mod damage_made;

// What a failed proof, a disk that refuses and an end at any moment do to the disk.
mod broken_off;
mod delivery;

// The desk, walked through in a browser.
mod desk_walk;

// Ways to damage a made folder, and a folder made without the program.
mod damage;
mod made_by_hand;

// The program: verbs, exit codes, all or nothing.
mod command_line;
mod program;

// Projects begun from a few sizes, sized down to a sheet, made larger or smaller.
mod new_projects;
mod restated;
mod scaled;

// The examples, made and proved, and what other programs find in their files.
mod made;
mod made_cut_files;
mod made_documents;
mod made_examples;

// The calibration chart, and the pictures that explain it.
mod calibration_chart;
mod calibration_pictures;

// What the README shows.
mod readme;

// A page of every sheet format, read back.
mod formats_read_back;

// What scripts that share nothing with the crate say.
mod outside_checks;

// Printers, scanners and cameras that know the truth, and whether they do.
mod simulator;
mod simulator_truth;

// What is found in simulated scans, and what is refused. The bars are also measured by `tests/bench/register.rs`.
mod bars;
mod register_pictures;
mod scan_scenes;
// Scans of the printed chart, and the profile they give.
mod calibrate_scan;
mod calibration_walk;
mod scanned_chart;

// Damaged pages for the table.
mod damage_handout;

// Templates at their true size, and damaged ones.
mod damage_templates;
mod templates;

// The desk, over HTTP.
mod desk_calls;
mod desk_client;
mod desk_guard;
mod desk_hand;
mod desk_scan;
