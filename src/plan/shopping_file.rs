//! Shopping lists, cost and bags as they stand in JSON. Keys are added, never renamed.

use serde::{Deserialize, Serialize};

/// What to buy for one edition.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ShoppingEntry {
    /// Id of the edition; empty where none is declared.
    pub edition: String,
    /// Copies wanted.
    pub copies: u32,
    /// Copies made besides.
    pub spares: u32,
    /// Paper.
    pub paper: Vec<PaperBoughtEntry>,
    /// Other things.
    pub supplies: Vec<SupplyBoughtEntry>,
    /// Sums such as `4.20 EUR`, one for each currency.
    pub sums: Vec<String>,
}

/// Sheets of one stock. A sheet that editions share stands in the list of the first of them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PaperBoughtEntry {
    /// Id of the stock.
    pub stock: String,
    /// Its name as it is printed; empty in files of before it was written.
    #[serde(default)]
    pub name: String,
    /// Whole sheets that the plan takes.
    pub takes: u32,
    /// Offcuts that it takes besides.
    pub offcuts: u32,
    /// Whole sheets on hand that are taken off.
    pub on_hand: u32,
    /// Sheets that the plan had not, for pieces that found no place.
    pub lacks: u32,
    /// Sheets to buy.
    pub buy: u32,
    /// What they cost.
    pub price: Option<String>,
}

/// So much of a supply.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SupplyBoughtEntry {
    /// Id of the supply.
    pub supply: String,
    /// Its name as it is printed; empty in files of before it was written.
    #[serde(default)]
    pub name: String,
    /// How many lengths, or single things, are needed.
    pub needs: u32,
    /// One length with its overlap, in millimetres; absent for what is counted.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub each_mm: Option<f64>,
    /// How many of them are there already.
    pub on_hand: u32,
    /// Packs to buy; lengths or single things where it is not sold by the pack.
    pub buy: u32,
    /// What they cost.
    pub price: Option<String>,
}

/// What a job costs. Amounts are text such as `4.20 EUR`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CostEntry {
    /// One copy, by what it uses up.
    pub one: OutlayEntry,
    /// All wanted copies, by what is bought.
    pub all: OutlayEntry,
    /// How many those are.
    pub copies: u32,
    /// Names of what has no price and is not counted.
    pub unpriced: Vec<String>,
}

/// What something costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OutlayEntry {
    /// Paper and supplies.
    pub materials: String,
    /// Minutes of work.
    pub minutes: Option<u32>,
    /// What the work is worth.
    pub work: Option<String>,
    /// Overhead on both.
    pub overhead: Option<String>,
    /// What to ask for it.
    pub asks: Option<String>,
}

/// The bags of one edition.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BagsEntry {
    /// Id of the edition; empty where none is declared.
    pub edition: String,
    /// What stands on each label.
    pub title: String,
    /// How many bags there are.
    pub bags: u32,
    /// What is in each, line by line.
    pub holds: Vec<String>,
}
