//! Facts of the trade, with their sources.

pub mod lead;
pub mod shot;
pub mod tin;

/// The angle at which water meets a float's tip of each kind, degrees: painted, bare nylon, bare hard plastic, greased.
///
/// # Source
/// Surveys of polymers: epoxy 76 (the nearest that was found to paint), nylon 6 and 6.6 63 and 68, PVC 86 and polystyrene 87,
/// polyethylene and polypropylene 96 and 102 (the nearest to wax).
pub const CONTACT_DEG: [f64; 4] = [76.0, 65.5, 86.5, 99.0];
/// How far that angle may be off: by so many degrees less where the tip is wet or rising out of the water, and so many more
/// where it is dry or sinking. Judgement: those surveys' ranges, and a nylon that differs between the two by 30°.
pub const CONTACT_OFF_DEG: [f64; 2] = [30.0, 10.0];
/// How far a maker's load may be off, as a part of it. Common practice, no published source.
pub const MAKERS_LOAD_SPREAD: f64 = 0.10;
/// What a gram of salt in a litre adds to the water's density, kg/m3 (sea water's 0.76 a gram; from memory).
pub const SALT_KG_PER_M3: f64 = 0.76;

/// The diameter of an elastic of a number, mm, and how far it may be off, as a part of it: 0.4 mm and a tenth a number.
///
/// # Source
/// Common practice, from memory, no published source: there is no standard, and one number differs from maker to maker and from
/// batch to batch. A measured diameter goes before it.
#[must_use]
pub fn elastic_mm(number: i32) -> (f64, f64) {
    (0.4 + 0.1 * f64::from(number), 0.15)
}

/// Density of nylon line, kg/m3.
///
/// # Source
/// EN 12524:2000 (design value) and NIST's list: 1140 to 1150.
pub const NYLON_KG_PER_M3: f64 = 1140.0;
/// Density of a steel hook, kg/m3.
///
/// # Source
/// EN 12524:2000: 7800, stainless 7900; 7850 is the usual figure.
pub const STEEL_KG_PER_M3: f64 = 7850.0;
