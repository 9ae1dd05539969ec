//! `platespan menu`: every kind of file, every shape of answer.

mod fixed;

use fixed::{Place, run, stdout};
use serde_json::Value;

const DISHES: &str = "loomfish, vellroot mash\ndunmoss soup\n\nvellroot mash\n";

const LINKED: &str = r#"{"@context": "https://schema.org", "@type": "Menu", "hasMenuSection": [
    {"@type": "MenuSection", "name": "Starters", "hasMenuItem": {"@type": "MenuItem", "name": "Dunmoss soup"}},
    {"@type": "MenuSection", "name": "Mains", "hasMenuItem": {"@type": "MenuItem", "identifier": "m1", "name": "Loomfish", "description": "with vellroot mash"}}]}"#;

#[test]
fn a_text_is_a_table_of_its_dishes() {
    let place = Place::new();
    place.file("dishes.txt", DISHES);
    insta::assert_snapshot!(
        "menu_80",
        stdout(
            place
                .with_fixed_foods()
                .args(["menu", "dishes.txt", "--within", "500"])
        )
    );
    insta::assert_snapshot!(
        "menu_40",
        stdout(place.with_fixed_foods().args([
            "menu",
            "dishes.txt",
            "--within",
            "500",
            "--width",
            "40"
        ]))
    );
}

#[test]
fn a_saved_page_reads_as_its_data_does() {
    let place = Place::new();
    place.file("menu.jsonld", LINKED);
    place.file(
        "page.HTML",
        &format!("<!doctype html><script type=\"application/ld+json\">{LINKED}</script><p>hello"),
    );
    let csv = |file: &str| {
        stdout(
            place
                .with_fixed_foods()
                .args(["menu", file, "--format", "csv"]),
        )
    };
    let data = csv("menu.jsonld");
    assert_eq!(data, csv("page.HTML"));
    let rows: Vec<&str> = data.lines().skip(1).collect();
    assert!(rows[0].starts_with("1,Dunmoss soup,"), "{data}");
    assert!(
        rows[1].starts_with("m1,Loomfish: with vellroot mash,"),
        "{data}"
    );
}

#[test]
fn the_section_of_a_dish_sets_its_portion() {
    let place = Place::new();
    place.file("menu.json", LINKED);
    place.file("alone.txt", "dunmoss soup\n");
    let likely = |file: &str| {
        let out = stdout(
            place
                .with_fixed_foods()
                .args(["menu", file, "--format", "ndjson"]),
        );
        let meal: Value = serde_json::from_str(out.lines().next().unwrap()).unwrap();
        meal["total"]["kcal"]["likely"].as_f64().unwrap()
    };
    assert!(likely("menu.json") < 0.8 * likely("alone.txt"));
}

#[test]
fn what_is_written_as_schema_org_data_is_read_back_as_the_same_menu() {
    let place = Place::new();
    place.file("menu.json", LINKED);
    let written =
        stdout(
            place
                .with_fixed_foods()
                .args(["menu", "menu.json", "--format", "jsonld"]),
        );
    let menu: Value = serde_json::from_str(&written).unwrap();
    let dish = &menu["hasMenuSection"][1]["hasMenuItem"][0];
    assert_eq!(dish["name"], "Loomfish");
    assert_eq!(dish["description"], "with vellroot mash");
    let nutrition = &dish["nutrition"];
    assert_eq!(nutrition["@type"], "NutritionInformation");
    for (key, unit) in [
        ("calories", " kcal"),
        ("proteinContent", " g"),
        ("fatContent", " g"),
        ("carbohydrateContent", " g"),
        ("fiberContent", " g"),
    ] {
        let text = nutrition[key].as_str().unwrap();
        let number = text
            .strip_suffix(unit)
            .unwrap_or_else(|| panic!("{key}: {text}"));
        assert!(number.parse::<f64>().is_ok(), "{key}: {text}");
    }
    assert!(
        nutrition["description"]
            .as_str()
            .unwrap()
            .starts_with("8 plates in 10 lie between")
    );
    assert!(menu["description"].as_str().unwrap().contains("allergy"));
    place.file("again.jsonld", &written);
    let again =
        stdout(
            place
                .with_fixed_foods()
                .args(["menu", "again.jsonld", "--format", "jsonld"]),
        );
    assert_eq!(written, again);
    let kj = stdout(place.with_fixed_foods().args([
        "menu",
        "menu.json",
        "--format",
        "jsonld",
        "--energy",
        "kj",
    ]));
    assert!(kj.contains(" kJ\""), "{kj}");
}

#[test]
fn dishes_are_put_in_the_order_asked_for() {
    let place = Place::new();
    place.file("dishes.txt", DISHES);
    let order = |by: &str| {
        let out = stdout(place.with_fixed_foods().args([
            "menu",
            "dishes.txt",
            "--format",
            "csv",
            "--sort",
            by,
        ]));
        let names: Vec<String> = csv::Reader::from_reader(out.as_bytes())
            .records()
            .map(|row| row.unwrap()[1].to_owned())
            .collect();
        names.join(" > ")
    };
    let plate = "loomfish, vellroot mash";
    assert_eq!(
        order("name"),
        format!("dunmoss soup > {plate} > vellroot mash")
    );
    assert_eq!(
        order("protein"),
        format!("{plate} > dunmoss soup > vellroot mash")
    );
    for by in ["energy", "range"] {
        assert!(order(by).starts_with(plate), "{}", order(by));
    }
}

#[test]
fn the_share_within_a_limit_is_the_distributions() {
    let place = Place::new();
    place.file("dishes.txt", DISHES);
    let shares = |within: &str| -> Vec<f64> {
        stdout(place.with_fixed_foods().args([
            "menu",
            "dishes.txt",
            "--format",
            "ndjson",
            "--within",
            within,
        ]))
        .lines()
        .map(|line| {
            serde_json::from_str::<Value>(line).unwrap()["share_within"]
                .as_f64()
                .unwrap()
        })
        .collect()
    };
    assert_eq!(shares("0"), [0.0; 3]);
    assert_eq!(shares("1000000"), [1.0; 3]);
    let (less, more) = (shares("300"), shares("400"));
    assert!(
        less.iter().zip(&more).all(|(less, more)| less <= more),
        "{less:?} {more:?}"
    );
    // 4.184 kJ to the kcal (21 CFR 101.9(c)(1)).
    assert_eq!(shares("1673.6kJ"), more);
    let out = stdout(place.with_fixed_foods().args([
        "menu",
        "dishes.txt",
        "--format",
        "csv",
        "--within",
        "400",
    ]));
    assert!(
        out.lines()
            .next()
            .unwrap()
            .ends_with(",within_kcal,share_within"),
        "{out}"
    );
    let (_, errors, code) =
        run(place
            .with_fixed_foods()
            .args(["menu", "dishes.txt", "--within", "plenty"]));
    assert_eq!(code, 2);
    insta::assert_snapshot!(errors, @"platespan: `--within plenty` is no energy; give a number such as 700, 700kcal or 2900kJ");
}

#[test]
fn no_cell_of_a_table_is_a_formula() {
    let place = Place::new();
    place.file(
        "dishes.txt",
        "=HYPERLINK(1) dunmoss soup\n@vellroot mash\n-1 loomfish\n",
    );
    let out = stdout(
        place
            .with_fixed_foods()
            .args(["menu", "dishes.txt", "--format", "csv"]),
    );
    for row in csv::Reader::from_reader(out.as_bytes()).records() {
        for cell in &row.unwrap() {
            let is_number = cell.parse::<f64>().is_ok();
            assert!(
                is_number || !cell.starts_with(['=', '+', '-', '@']),
                "{cell}"
            );
        }
    }
}

#[test]
fn a_page_escapes_every_word_of_the_menu() {
    let place = Place::new();
    place.file(
        "dishes.csv",
        "section,text\n\"<b>Mains</b>\",\"<script>alert('x')</script> loomfish & \"\"mash\"\" <img src=x onerror=alert(1)>\"\n",
    );
    let page = stdout(place.with_fixed_foods().args([
        "menu",
        "dishes.csv",
        "--format",
        "html",
        "--title",
        "</title><i>\"evening\"",
    ]));
    assert_eq!(page.matches("<script>").count(), 1, "only the page's own");
    for raw in ["<b>", "<i>", "<img", "alert('x')"] {
        assert!(!page.contains(raw), "{raw} stands in the page unescaped");
    }
    assert!(page.contains("&lt;script&gt;alert(&#x27;x&#x27;)"));
    // The same in data that somebody puts into a page's script.
    let data = stdout(
        place
            .with_fixed_foods()
            .args(["menu", "dishes.csv", "--format", "jsonld"]),
    );
    assert!(!data.contains('<'), "{data}");
    let menu: Value = serde_json::from_str(&data).unwrap();
    let name = &menu["hasMenuSection"][0]["hasMenuItem"][0]["name"];
    assert!(
        name.as_str()
            .unwrap()
            .starts_with("<script>alert('x')</script>")
    );
}

#[test]
fn a_page_asks_nothing_of_the_network_and_says_the_cautions() {
    let place = Place::new();
    place.file("dishes.txt", DISHES);
    let page = stdout(
        place
            .with_fixed_foods()
            .args(["menu", "dishes.txt", "--format", "html"]),
    );
    for outside in ["://", "src=", "href=", "url(", "@import"] {
        assert!(!page.contains(outside), "{outside} leads out of the page");
    }
    for caution in [
        "allergy",
        "insulin",
        "registered dietitian",
        "not a menu label in law",
    ] {
        assert!(page.contains(caution), "{caution}");
    }
    // Text alternatives: a range is read out, not only drawn.
    assert_eq!(page.matches("role=\"img\" aria-label=\"likely ").count(), 3);
    assert!(page.contains("<title>dishes</title>"));
}

#[test]
fn what_cannot_be_read_is_told_with_its_place_and_the_rest_goes_on() {
    let place = Place::new();
    let errors = |name: &str, text: &str| {
        place.file(name, text);
        let (out, errors, code) = run(place.with_fixed_foods().args(["menu", name]));
        assert_eq!(code, 2, "{out}");
        errors
    };
    insta::assert_snapshot!(errors("a.json", "{\n  \"@type\": MenuItem}"), @"platespan: a.json: line 2, column 12: this is no JSON: expected value");
    insta::assert_snapshot!(errors("b.html", "<p>loomfish"), @r#"platespan: b.html: this page has no `<script type="application/ld+json">`, so its menu cannot be read from it; copy the dishes into a text file, a line a dish"#);
    insta::assert_snapshot!(errors("c.jsonld", "{\"@type\": \"Recipe\", \"name\": \"loomfish\"}"), @"platespan: c.jsonld: there is no schema.org `MenuItem` in it; it has Recipe. A text file with a line a dish can be read too");
    insta::assert_snapshot!(errors("gone/d.csv".trim_start_matches("gone/"), "dish\nloomfish\n"), @"platespan: d.csv: line 1: there is no `text` column; it has: dish");
    place.file(
        "e.json",
        r#"[{"@type": "MenuItem"}, {"@type": "MenuItem", "name": "loomfish"}]"#,
    );
    let (out, errors, code) = run(place.with_fixed_foods().args(["menu", "e.json"]));
    assert_eq!(code, 2);
    assert!(out.contains("loomfish"), "{out}");
    insta::assert_snapshot!(errors, @"platespan: e.json: dish 1: a `MenuItem` with neither `name` nor `description` says nothing of the plate");
}

#[test]
fn a_menu_on_standard_input_may_be_text_or_data() {
    let place = Place::new();
    for input in [
        "dunmoss soup\n",
        "\u{feff}{\"@type\": \"MenuItem\", \"name\": \"dunmoss soup\"}",
    ] {
        let out = stdout(
            place
                .with_fixed_foods()
                .args(["menu", "-", "--format", "csv"])
                .write_stdin(input),
        );
        assert!(out.contains("dunmoss soup"), "{out}");
    }
}
