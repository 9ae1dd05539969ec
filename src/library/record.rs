//! The rules of writing a plate down, and of replying: a file's own laid over those before it.

use super::error::LibraryError;
use super::load::{prepend, unknown};
use super::{Rules, schema};

/// What one file says of it.
pub(super) struct Own {
    pub written: Vec<schema::WrittenEntry>,
    pub record: Vec<schema::RecordEntry>,
    pub gathered: Vec<schema::GatheredEntry>,
    pub lines: Option<schema::LinesEntry>,
    pub caution: Vec<schema::CautionEntry>,
    pub courtesy: Option<schema::CourtesyEntry>,
}

/// Lays a file's own over what is there: an entry of the same id replaces; of `[[record]]` and `[[gathered]]`, where the
/// first that fits counts, a later file's come first.
///
/// # Errors
/// Where a step is not above 0 or falls, or a `[[record]]` names a measure or a unit that is not there.
pub(super) fn lay(rules: &mut Rules, file: &str, own: Own) -> Result<(), LibraryError> {
    for entry in own.written {
        check_steps(file, &entry)?;
        rules.written.retain(|old| old.id != entry.id);
        rules.written.push(entry);
    }
    for entry in &own.record {
        check_record(rules, file, entry)?;
    }
    prepend(&mut rules.record, own.record);
    prepend(&mut rules.gathered, own.gathered);
    for entry in own.caution {
        rules.cautions.retain(|old| old.id != entry.id);
        rules.cautions.push(entry);
    }
    if let Some(lines) = own.lines {
        rules.lines = lines;
    }
    if let Some(courtesy) = own.courtesy {
        rules.courtesy = courtesy;
    }
    Ok(())
}

fn check_steps(file: &str, entry: &schema::WrittenEntry) -> Result<(), LibraryError> {
    let rising = entry.steps.windows(2).all(|pair| pair[0].0 < pair[1].0);
    let sound = entry
        .steps
        .iter()
        .all(|(to, step)| to.is_finite() && step.is_finite() && *to > 0.0 && *step > 0.0);
    if rising && sound && !entry.steps.is_empty() {
        return Ok(());
    }
    Err(LibraryError::OutOfRange {
        file: file.to_owned(),
        id: entry.id.clone(),
        what: "`steps` must be pairs [up to, step] above 0, the first of each pair rising"
            .to_owned(),
    })
}

fn check_record(
    rules: &Rules,
    file: &str,
    entry: &schema::RecordEntry,
) -> Result<(), LibraryError> {
    let measures = ["scale", "cups", "hand"].map(str::to_owned);
    if !measures.contains(&entry.measure) {
        let said = &entry.measure;
        return Err(unknown(file, "record", "measure", said, measures.iter()));
    }
    let known = || rules.written.iter().map(|written| &written.id);
    match entry
        .units
        .iter()
        .find(|unit| !known().any(|id| id == *unit))
    {
        Some(said) => Err(unknown(file, "record", "written unit", said, known())),
        None => Ok(()),
    }
}
