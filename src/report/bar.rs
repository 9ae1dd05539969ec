//! Pictures in characters: a range on a scale, a share of a whole.

/// A range on a scale from 0 to `end`: `────┝━━━●━━━━━┥───`, `width` columns wide.
pub fn range_bar(low: f64, likely: f64, high: f64, end: f64, width: usize) -> String {
    let width = width.max(5);
    let end = if end > 0.0 { end } else { 1.0 };
    let column =
        |value: f64| (((value / end).clamp(0.0, 1.0)) * (width - 1) as f64).round() as usize;
    let (low, likely, high) = (column(low), column(likely), column(high));
    (0..width)
        .map(|at| match at {
            at if at == likely => '●',
            at if at == low => '┝',
            at if at == high => '┥',
            at if at > low && at < high => '━',
            _ => '·',
        })
        .collect()
}

/// A share of `width` columns, to an eighth of a column.
pub fn share_bar(share: f64, width: usize) -> String {
    const EIGHTHS: [char; 8] = ['▏', '▎', '▍', '▌', '▋', '▊', '▉', '█'];
    let eighths = (share.clamp(0.0, 1.0) * width as f64 * 8.0).round() as usize;
    let mut bar: String = std::iter::repeat_n('█', eighths / 8).collect();
    if !eighths.is_multiple_of(8) {
        bar.push(EIGHTHS[eighths % 8 - 1]);
    }
    bar
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_lies_where_it_should() {
        assert_eq!(range_bar(0.0, 50.0, 100.0, 100.0, 11), "┝━━━━●━━━━┥");
        assert_eq!(range_bar(20.0, 30.0, 40.0, 100.0, 11), "··┝●┥······");
        assert_eq!(range_bar(0.0, 0.0, 0.0, 0.0, 5), "●····");
    }

    #[test]
    fn a_share_fills_its_part() {
        assert_eq!(share_bar(0.5, 4), "██");
        assert_eq!(share_bar(0.0, 4), "");
        assert_eq!(share_bar(2.0, 3), "███");
    }
}
