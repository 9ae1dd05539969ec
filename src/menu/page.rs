//! Saved web pages: the schema.org data that stands in their scripts.

use super::{Found, linked};
use scraper::{Html, Selector};

/// The dishes of every `<script type="application/ld+json">` of a page.
///
/// # Errors
/// Where there is no such script, or none of them holds a dish.
pub fn lines(html: &str) -> Found {
    let page = Html::parse_document(html);
    let mut values = Vec::new();
    let mut faults = Vec::new();
    let mut scripts = 0;
    let selector = Selector::parse("script[type]").map_err(|error| error.to_string())?;
    for script in page.select(&selector) {
        let kind = script.value().attr("type").unwrap_or_default();
        let kind = kind.split(';').next().unwrap_or_default().trim();
        if !kind.eq_ignore_ascii_case("application/ld+json") {
            continue;
        }
        scripts += 1;
        let text: String = script.text().collect();
        match linked::parse(&text) {
            Ok(value) => values.push(value),
            Err(message) => faults.push(format!("data script {scripts} of the page, {message}")),
        }
    }
    if scripts == 0 {
        return Err("this page has no `<script type=\"application/ld+json\">`, so its menu cannot be read from it; \
             copy the dishes into a text file, a line a dish"
            .to_owned());
    }
    match linked::dishes(&values) {
        Ok(mut lines) => {
            lines.extend(faults.into_iter().map(Err));
            Ok(lines)
        }
        Err(_) if !faults.is_empty() => Err(faults.join("; ")),
        Err(message) => Err(message),
    }
}

/// The words of a text that may hold tags and entities, as content systems leave them in their data.
pub fn without_markup(text: &str) -> String {
    if !text.contains(['<', '&']) {
        return text.to_owned();
    }
    Html::parse_fragment(text)
        .root_element()
        .text()
        .collect::<Vec<_>>()
        .join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_data_of_a_page_is_read_and_its_bad_blocks_are_reported() {
        let page = r#"<!doctype html><title>The Blue Ladle</title><script>var x = "{";</script>
            <script type="Application/LD+JSON; charset=utf-8">{"@type": "MenuItem", "name": "Pea soup"}</script>
            <script type="application/ld+json">{"@type": </script><p>Pea soup 4.50"#;
        let lines = lines(page).unwrap();
        assert_eq!(lines[0].as_ref().unwrap().text, "Pea soup");
        insta::assert_snapshot!(lines[1].as_ref().unwrap_err(), @"data script 2 of the page, line 1, column 10: this is no JSON: EOF while parsing a value");
    }

    #[test]
    fn a_page_without_data_says_what_to_do() {
        insta::assert_snapshot!(lines("<p>Pea soup").unwrap_err(), @r#"this page has no `<script type="application/ld+json">`, so its menu cannot be read from it; copy the dishes into a text file, a line a dish"#);
    }

    #[test]
    fn markup_leaves_words() {
        assert_eq!(without_markup("salt & pepper"), "salt & pepper");
        assert_eq!(without_markup("a<br>b"), "a b");
    }
}
