//! The user's own CSV file of guesses and weighings. Lines that cannot be read are kept as they are, byte for byte.

use jiff::civil::Date;

/// The columns of a new file. Others may stand beside them; they are kept.
pub const HEADING: &str = "date,food,group,guess_g,weighed_g,guess,weighed";

/// Columns that a file must have.
const NEEDED: [&str; 5] = ["date", "food", "group", "guess_g", "weighed_g"];

/// A guess and what the scales said.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighing {
    /// The day.
    pub date: Date,
    /// The food, in the person's words.
    pub food: String,
    /// Its group.
    pub group: String,
    /// The guess, g.
    pub guess: f64,
    /// The weight, g.
    pub weighed: f64,
    /// Guess and weight in the person's words.
    pub said: [String; 2],
}

impl Weighing {
    /// ln(guess / weighed).
    pub fn log_error(&self) -> f64 {
        (self.guess / self.weighed).ln()
    }

    /// (guess - weighed) / weighed.
    pub fn error(&self) -> f64 {
        self.guess / self.weighed - 1.0
    }
}

/// What a line below the heading says.
#[derive(Debug, Clone, PartialEq)]
enum Line {
    /// A weighing.
    Read(Weighing),
    /// It cannot be read, and why.
    Kept(String),
    /// Nothing but white space.
    Blank,
}

/// A file of weighings.
#[derive(Debug, Clone, PartialEq)]
pub struct Log {
    columns: Vec<String>,
    heading: Vec<u8>,
    /// (bytes with their line ending, what they say), from line 2 on.
    lines: Vec<(Vec<u8>, Line)>,
}

/// Why a file is not one of weighings.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LogError {
    /// The first line is not a heading of this kind.
    #[error(
        "line 1: a file of weighings begins with a heading, and this one lacks {missing}; a new file begins with `{HEADING}`"
    )]
    Heading {
        /// The columns that are not there.
        missing: String,
    },
}

impl Default for Log {
    fn default() -> Self {
        Log {
            columns: HEADING.split(',').map(str::to_owned).collect(),
            heading: format!("{HEADING}\n").into_bytes(),
            lines: Vec::new(),
        }
    }
}

impl Log {
    /// Reads a file's bytes. An empty file is a new one.
    ///
    /// # Errors
    /// [`LogError::Heading`] where the first line is not a heading with the columns of a weighing: such a file is
    /// something else, and nothing should be written to it.
    pub fn read(bytes: &[u8]) -> Result<Log, LogError> {
        let mut lines = bytes.split_inclusive(|byte| *byte == b'\n');
        let Some(heading) = lines.next() else {
            return Ok(Log::default());
        };
        let columns: Vec<String> = fields(heading)
            .unwrap_or_default()
            .iter()
            .map(|name| name.trim_start_matches('\u{feff}').trim().to_lowercase())
            .collect();
        let missing: Vec<String> = NEEDED
            .iter()
            .filter(|needed| !columns.iter().any(|column| column == *needed))
            .map(|needed| format!("`{needed}`"))
            .collect();
        if !missing.is_empty() {
            return Err(LogError::Heading {
                missing: missing.join(", "),
            });
        }
        let lines = lines
            .map(|line| (line.to_vec(), read_line(&columns, line)))
            .collect();
        Ok(Log {
            columns,
            heading: heading.to_vec(),
            lines,
        })
    }

    /// The file's bytes: what was read, byte for byte, and what was added.
    pub fn bytes(&self) -> Vec<u8> {
        let mut bytes = self.heading.clone();
        for (line, _) in &self.lines {
            if bytes.last().is_some_and(|last| *last != b'\n') {
                bytes.push(b'\n');
            }
            bytes.extend_from_slice(line);
        }
        bytes
    }

    /// The weighings, the earliest first, those of one day in the order of the file.
    pub fn weighings(&self) -> Vec<&Weighing> {
        let mut all: Vec<&Weighing> = self
            .lines
            .iter()
            .filter_map(|(_, line)| match line {
                Line::Read(weighing) => Some(weighing),
                _ => None,
            })
            .collect();
        all.sort_by_key(|weighing| weighing.date);
        all
    }

    /// (line number, why) of each line that cannot be read.
    pub fn unread(&self) -> Vec<(usize, &str)> {
        self.lines
            .iter()
            .enumerate()
            .filter_map(|(at, (_, line))| match line {
                Line::Kept(why) => Some((at + 2, why.as_str())),
                _ => None,
            })
            .collect()
    }

    /// Adds a weighing at the end.
    pub fn add(&mut self, weighing: Weighing) {
        let field = |column: &String| match column.as_str() {
            "date" => weighing.date.to_string(),
            "food" => weighing.food.clone(),
            "group" => weighing.group.clone(),
            "guess_g" => grams(weighing.guess),
            "weighed_g" => grams(weighing.weighed),
            "guess" => weighing.said[0].clone(),
            "weighed" => weighing.said[1].clone(),
            _ => String::new(),
        };
        let mut writer = csv::WriterBuilder::new()
            .terminator(csv::Terminator::Any(b'\n'))
            .from_writer(Vec::new());
        // Writing to memory cannot fail.
        let _ = writer.write_record(self.columns.iter().map(field));
        let line = writer.into_inner().unwrap_or_default();
        self.lines.push((line, Line::Read(weighing)));
    }

    /// Adds those weighings of another file that are not here yet: (how many are new, how many were here).
    pub fn take_in(&mut self, other: &Log) -> (usize, usize) {
        let known: Vec<Weighing> = self.weighings().into_iter().cloned().collect();
        let (mut new, mut old) = (0, 0);
        for weighing in other.weighings() {
            if known.iter().any(|known| is_same(known, weighing)) {
                old += 1;
            } else {
                self.add(weighing.clone());
                new += 1;
            }
        }
        (new, old)
    }

    /// Takes out every weighing for which this holds; how many. Lines that cannot be read stay.
    pub fn take_out(&mut self, mut is_out: impl FnMut(&Weighing) -> bool) -> usize {
        let before = self.lines.len();
        self.lines
            .retain(|(_, line)| !matches!(line, Line::Read(weighing) if is_out(weighing)));
        before - self.lines.len()
    }

    /// Takes out the weighing that was written last.
    pub fn take_out_last(&mut self) -> Option<Weighing> {
        let at = self
            .lines
            .iter()
            .rposition(|(_, line)| matches!(line, Line::Read(_)))?;
        match self.lines.remove(at).1 {
            Line::Read(weighing) => Some(weighing),
            _ => None,
        }
    }
}

/// Grams to a tenth, as they are written.
fn grams(value: f64) -> String {
    format!("{}", (value * 10.0).round() / 10.0)
}

fn is_same(a: &Weighing, b: &Weighing) -> bool {
    // Both may have been rounded to a tenth.
    let near = |a: f64, b: f64| (a - b).abs() < 0.06;
    a.date == b.date && a.food == b.food && near(a.guess, b.guess) && near(a.weighed, b.weighed)
}

/// The fields of one line; none where it is not UTF-8 or a quotation mark is left open.
fn fields(line: &[u8]) -> Option<Vec<String>> {
    if line.iter().filter(|byte| **byte == b'"').count() % 2 == 1 {
        return None;
    }
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(line);
    match reader.records().next() {
        None => Some(Vec::new()),
        Some(record) => Some(record.ok()?.iter().map(str::to_owned).collect()),
    }
}

fn read_line(columns: &[String], line: &[u8]) -> Line {
    if line.iter().all(u8::is_ascii_whitespace) {
        return Line::Blank;
    }
    let Some(fields) = fields(line) else {
        return Line::Kept("it is not UTF-8, or a quotation mark is left open".to_owned());
    };
    match weighing(columns, &fields) {
        Ok(weighing) => Line::Read(weighing),
        Err(why) => Line::Kept(why),
    }
}

fn weighing(columns: &[String], fields: &[String]) -> Result<Weighing, String> {
    let field = |name: &str| {
        columns
            .iter()
            .position(|column| column == name)
            .and_then(|at| fields.get(at))
            .map_or("", |field| field.trim())
    };
    let grams = |name: &str| match field(name).parse::<f64>() {
        Ok(grams) if grams > 0.0 && grams.is_finite() => Ok(grams),
        _ => Err(format!(
            "`{name}` is \"{}\"; it must be grams above 0",
            field(name)
        )),
    };
    let date = field("date")
        .parse::<Date>()
        .map_err(|_| format!("`date` is \"{}\"; write it as 2026-03-31", field("date")))?;
    if let Some(empty) = ["food", "group"].iter().find(|name| field(name).is_empty()) {
        return Err(format!("`{empty}` is empty"));
    }
    Ok(Weighing {
        date,
        food: field("food").to_owned(),
        group: field("group").to_owned(),
        guess: grams("guess_g")?,
        weighed: grams("weighed_g")?,
        said: [field("guess").to_owned(), field("weighed").to_owned()],
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn weighing(day: i8, food: &str) -> Weighing {
        Weighing {
            date: jiff::civil::date(2026, 3, day),
            food: food.to_owned(),
            group: "protein".to_owned(),
            guess: 141.74,
            weighed: 127.57,
            said: ["5 oz".to_owned(), "4.5 oz".to_owned()],
        }
    }

    #[test]
    fn what_is_added_reads_back() {
        let mut log = Log::default();
        log.add(weighing(2, "chicken, roast"));
        log.add(weighing(1, "salmon"));
        let text = String::from_utf8(log.bytes()).unwrap();
        insta::assert_snapshot!(text, @r#"
        date,food,group,guess_g,weighed_g,guess,weighed
        2026-03-02,"chicken, roast",protein,141.7,127.6,5 oz,4.5 oz
        2026-03-01,salmon,protein,141.7,127.6,5 oz,4.5 oz
        "#);
        let again = Log::read(&log.bytes()).unwrap();
        let foods: Vec<&str> = again.weighings().iter().map(|w| w.food.as_str()).collect();
        assert_eq!(foods, ["salmon", "chicken, roast"]);
        assert!(again.unread().is_empty());
    }

    #[test]
    fn lines_that_cannot_be_read_are_kept_byte_for_byte() {
        let bytes = b"note,date,food,group,guess_g,weighed_g\r\nx,2026-03-01,salmon,protein,100,110\r\n\r\n,soon,rice,starch,1,2\r\n,2026-03-02,rice,starch,\"12,9\r\n\xff\xfe,2026-03-02,rice,starch,0,5";
        let mut log = Log::read(bytes).unwrap();
        assert_eq!(log.bytes(), bytes);
        assert_eq!(log.weighings().len(), 1);
        let lines: Vec<usize> = log.unread().iter().map(|(line, _)| *line).collect();
        assert_eq!(lines, [4, 5, 6]);
        log.add(weighing(3, "ham"));
        let mut wanted = bytes.to_vec();
        wanted.extend_from_slice(b"\n,2026-03-03,ham,protein,141.7,127.6\n");
        assert_eq!(log.bytes(), wanted);
        assert_eq!(log.take_out(|_| true), 2);
        assert_eq!(log.unread().len(), 3);
    }

    #[test]
    fn another_kind_of_file_is_refused() {
        insta::assert_snapshot!(
            Log::read(b"date,text,kcal\n2026-03-01,soup,200\n").unwrap_err(),
            @"line 1: a file of weighings begins with a heading, and this one lacks `food`, `group`, `guess_g`, `weighed_g`; a new file begins with `date,food,group,guess_g,weighed_g,guess,weighed`"
        );
        assert_eq!(Log::read(b"").unwrap(), Log::default());
    }

    #[test]
    fn what_is_there_already_is_not_taken_in_twice() {
        let (mut a, mut b) = (Log::default(), Log::default());
        a.add(weighing(1, "salmon"));
        b.add(weighing(1, "salmon"));
        b.add(weighing(2, "salmon"));
        let b = Log::read(&b.bytes()).unwrap();
        assert_eq!(a.take_in(&b), (1, 1));
        assert_eq!(a.take_in(&b), (0, 2));
        assert_eq!(a.take_out_last().map(|w| w.date.day()), Some(2));
    }
}
