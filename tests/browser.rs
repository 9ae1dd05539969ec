//! The page of a menu in a browser: no error in its console, sorting, dark and light, a phone's width, no scripts.
//!
//! Needs `chromium` on the PATH (the Debian package of that name). Without it these tests say so and pass, unless `CI=true`.

mod fixed;

use fixed::{Place, stdout};
use std::io::Read;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const DISHES: &str = "vellroot mash\nloomfish, vellroot mash\n<script>document.title = 'broken'</script> dunmoss soup\n";

/// The browser's longest time for one page.
const PATIENCE: Duration = Duration::from_secs(120);

fn browser_is_missing() -> bool {
    let found = Command::new("chromium")
        .arg("--version")
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success());
    if !found {
        assert!(
            std::env::var("CI").as_deref() != Ok("true"),
            "chromium is not on the PATH: install the Debian package `chromium`"
        );
        eprintln!(
            "skipped: chromium is not on the PATH, so the page was not looked at in a browser"
        );
    }
    !found
}

/// What the browser makes of a page: its document in the end, and what its console said.
fn look_at(page: &Path, options: &[&str]) -> (String, Vec<String>) {
    let profile = tempfile::tempdir().unwrap();
    let mut child = Command::new("chromium")
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--enable-logging=stderr",
            "--v=0",
            "--dump-dom",
        ])
        .arg(format!("--user-data-dir={}", profile.path().display()))
        .args(options)
        .arg(format!("file://{}", page.display()))
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // Both pipes are emptied at once, or a full one would hold the browser up.
    let mut errors = child.stderr.take().unwrap();
    let said = std::thread::spawn(move || {
        let mut text = Vec::new();
        let _ = errors.read_to_end(&mut text);
        String::from_utf8_lossy(&text).into_owned()
    });
    let mut output = child.stdout.take().unwrap();
    let dom = std::thread::spawn(move || {
        let mut text = String::new();
        let _ = output.read_to_string(&mut text);
        text
    });
    let start = Instant::now();
    while child.try_wait().unwrap().is_none() {
        if start.elapsed() > PATIENCE {
            let _ = child.kill();
            panic!("chromium took more than {PATIENCE:?}");
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    let console = said
        .join()
        .unwrap()
        .lines()
        .filter(|line| line.contains("CONSOLE"))
        .map(str::to_owned)
        .collect();
    (dom.join().unwrap(), console)
}

/// The page of the dishes.
fn page(place: &Place) -> String {
    place.file("dishes.txt", DISHES);
    stdout(place.with_fixed_foods().args([
        "menu",
        "dishes.txt",
        "--format",
        "html",
        "--within",
        "400",
    ]))
}

/// What a script, put behind the page's own, answers in the page.
#[track_caller]
fn ask(place: &Place, page: &str, script: &str, options: &[&str]) -> String {
    let asking =
        format!("<script>document.title = String((() => {{ {script} }})());</script></body>");
    let copy = place.file("asked.html", &page.replace("</body>", &asking));
    let (dom, console) = look_at(&copy, options);
    assert!(console.is_empty(), "{console:?}");
    title_in(&dom)
}

/// The title of a page that the browser has loaded.
fn title_of(place: &Place, page: &str) -> String {
    title_in(&look_at(&place.file("framed.html", page), &[]).0)
}

#[track_caller]
fn title_in(dom: &str) -> String {
    let title = dom
        .split("<title>")
        .nth(1)
        .and_then(|rest| rest.split("</title>").next());
    title
        .unwrap_or_else(|| panic!("no title in {dom}"))
        .to_owned()
}

#[test]
fn the_console_stays_silent() {
    if browser_is_missing() {
        return;
    }
    let place = Place::new();
    let file = place.file("page.html", &page(&place));
    let (dom, console) = look_at(&file, &[]);
    assert!(console.is_empty(), "{console:?}");
    assert!(
        dom.contains("<title>dishes</title>"),
        "a dish's name was run as a script"
    );
    // The check itself works: an error would be seen.
    let broken = place.file(
        "broken.html",
        "<!doctype html><script>undefined.gone()</script>",
    );
    let (_, console) = look_at(&broken, &[]);
    assert!(
        console.iter().any(|line| line.contains("Uncaught")),
        "{console:?}"
    );
}

#[test]
fn a_heading_sorts_the_table_and_the_chart() {
    if browser_is_missing() {
        return;
    }
    let place = Place::new();
    let page = page(&place);
    let order = |clicks: &str| {
        let script = format!(
            "const buttons = document.querySelectorAll('thead th[scope=col] > button');
             for (const at of [{clicks}]) {{ buttons[at].focus(); document.activeElement.click(); }}
             const of = (all) => [...document.querySelectorAll(all)].map((one) => one.dataset.dish).join('');
             const sorted = [...document.querySelectorAll('th[aria-sort]')].map((th) => th.textContent + ' ' + th.getAttribute('aria-sort'));
             return [of('tbody tr'), of('#chart li'), sorted.join(), document.getElementById('order').textContent].join(' | ');"
        );
        ask(&place, &page, &script, &[])
    };
    insta::assert_snapshot!(order(""), @"012 | 012 |  |");
    insta::assert_snapshot!(order("1"), @"210 | 210 | kcal descending | Sorted by kcal, descending");
    insta::assert_snapshot!(order("1, 1"), @"012 | 012 | kcal ascending | Sorted by kcal, ascending");
    insta::assert_snapshot!(order("1, 0"), @"210 | 210 | Dish ascending | Sorted by Dish, ascending");
    insta::assert_snapshot!(order("3"), @"012 | 012 | within 400&nbsp;kcal descending | Sorted by within 400&nbsp;kcal, descending");
}

#[test]
fn dark_and_light_follow_the_readers_wish() {
    if browser_is_missing() {
        return;
    }
    let place = Place::new();
    let page = page(&place);
    let script = "const style = getComputedStyle(document.body); return style.backgroundColor + ' ' + style.color;";
    let colours = |wish: &str| ask(&place, &page, script, &[wish]);
    assert_eq!(
        colours("--blink-settings=preferredColorScheme=0"),
        "rgb(21, 24, 28) rgb(230, 228, 222)"
    );
    assert_eq!(
        colours("--blink-settings=preferredColorScheme=1"),
        "rgb(253, 252, 249) rgb(34, 38, 43)"
    );
}

/// A page that holds this one in a frame, and whose title is what `script` answers when both are loaded.
fn framed(page: &str, frame: &str, script: &str) -> String {
    let inside = page.replace('&', "&amp;").replace('"', "&quot;");
    format!(
        "<!doctype html><title></title><iframe {frame} srcdoc=\"{inside}\"></iframe>
         <script>onload = () => {{ const page = frames[0].document; document.title = String((() => {{ {script} }})()); }};</script></body>"
    )
}

/// A frame, as the browser's own window is never as narrow as a phone.
#[test]
fn on_a_phone_only_the_table_scrolls_sideways() {
    if browser_is_missing() {
        return;
    }
    let place = Place::new();
    let script = "const table = page.querySelector('.scroll');
        return [frames[0].innerWidth, page.documentElement.scrollWidth <= frames[0].innerWidth, table.scrollWidth > table.clientWidth, table.tabIndex].join(' ');";
    let frame = framed(
        &page(&place),
        "width=360 height=800 style=\"border: 0\"",
        script,
    );
    assert_eq!(title_of(&place, &frame), "360 true true 0");
}

#[test]
fn without_scripts_it_is_the_same_page_in_the_files_order() {
    if browser_is_missing() {
        return;
    }
    let place = Place::new();
    let script = "const all = (which) => [...page.querySelectorAll(which)];
        return [all('button').length, all('tbody tr').map((row) => row.dataset.dish).join(''), all('thead th').map((th) => th.textContent).join()].join(' | ');";
    let frame = framed(&page(&place), "sandbox=allow-same-origin", script);
    insta::assert_snapshot!(title_of(&place, &frame), @"0 | 012 | Dish,kcal,low–high,within 400&nbsp;kcal,protein,fat,carb.,fibre");
}
