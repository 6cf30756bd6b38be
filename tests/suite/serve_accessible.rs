//! Every page for everybody: judged by a published accessibility tester in a real browser, in dark and
//! light, on a desk, a tablet and a telephone 360 pixels wide; used by keys alone; printed.

use elbowroom_tests::browser::Browser;
use elbowroom_tests::service::{Running, running};
use elbowroom_tests::testers;
use serde_json::{Value, json};
use std::time::Duration;

/// Widths in pixels: a desk, a tablet, a small telephone.
const WINDOWS: [(u32, u32); 3] = [(1280, 1000), (820, 1180), (360, 740)];

/// Rules of WCAG 2.2 levels A and AA, and what the tester's makers call best practice.
const RULES: &str = "['wcag2a','wcag2aa','wcag21a','wcag21aa','wcag22aa','best-practice']";

/// A shop in which something of every kind is going on: cells running, stopped and done, an inquiry
/// answered and one promised, a proposal. Returns paths of the pages.
fn busy(browser: &mut Browser, service: &Running) -> Vec<String> {
    browser.go(&service.url("/cells"));
    let cells = browser.value(
        "window.post = async (path, body) => (await fetch(path, { method: 'POST',
            headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) })).json();
        window.report = (lot, event, more) => post('/api/v1/reports',
            { order: lot.order, step: lot.step, event, by: 'floor', ...more });
        (async () => {
            const cells = (await (await fetch('/api/v1/cells')).json()).cells;
            const [one, two, three] = cells.filter((cell) => cell.now.length === 0 && cell.next.length > 1);
            await report(one.next[0], 'started');
            await report(two.next[0], 'started');
            await report(two.next[0], 'stopped', { reason: 'waiting for tube' });
            await report(three.next[0], 'finished', { good: 12, scrap: 1 });
            window.part = one.next[1].part;
            return [one.id, two.id, three.id];
        })()",
    );
    let done = |browser: &mut Browser, path: &str, body: &str| {
        assert!(browser.value(&format!("post('{path}', {body})"))["id"].is_number(), "{path} {body}");
    };
    done(browser, "/api/v1/inquiries", "{ part, quantity: 40, customer: 'Seilbahn Tal', by: 'Ada' }");
    done(browser, "/api/v1/inquiries/1/accept", "{ by: 'Ada' }");
    done(browser, "/api/v1/inquiries", "{ part, quantity: 7 }");
    done(browser, "/api/v1/solves", "{ seconds: 0.5, reason: 'die late', by: 'Ada' }");
    while browser.value("fetch('/api/v1/solves/1').then((one) => one.json())")["state"] == json!("running") {
        std::thread::sleep(Duration::from_millis(200));
    }
    let fixed = [
        "/",
        "/cells",
        "/orders",
        "/tooling",
        "/load",
        "/inquiry",
        "/promises",
        "/plans",
        "/login",
        "/cells/none",
    ];
    let cells = cells.as_array().cloned().unwrap_or_default();
    let cells = cells.iter().filter_map(Value::as_str).map(|cell| format!("/cells/{cell}"));
    fixed.into_iter().map(str::to_owned).chain(cells).collect()
}

/// What the tester finds in a page as it stands: rule, place and remedy of each fault.
fn found(browser: &mut Browser) -> Value {
    browser.value(&format!(
        "axe.run(document, {{ runOnly: {RULES}, resultTypes: ['violations'] }}).then((all) => all.violations.flatMap((one) =>
            one.nodes.slice(0, 3).map((node) => one.id + ' at ' + node.target.join(' ') + ': ' + node.failureSummary)))"
    ))
}

#[test]
fn no_page_has_an_accessibility_fault_in_dark_or_light_at_any_width() {
    let Some(tester) = testers::accessibility() else { return };
    let Some(mut browser) = Browser::start() else { return };
    let service = running();
    let mut faults = Vec::new();
    for path in busy(&mut browser, &service) {
        browser.go(&service.url(&path));
        browser.value(&tester);
        browser.value("document.querySelectorAll('details').forEach((one) => { one.open = true; })");
        for (width, height) in WINDOWS {
            for dark in [false, true] {
                browser.resize(width, height, dark);
                let place = format!("{path}, {width} pixels, {}", if dark { "dark" } else { "light" });
                let wide = browser.value("document.documentElement.scrollWidth");
                if wide.as_u64() > Some(u64::from(width)) {
                    faults.push(format!("{place}: is {wide} pixels wide"));
                }
                let found = found(&mut browser);
                let found = found.as_array().expect("a list").iter();
                faults.extend(found.map(|fault| format!("{place}: {}", fault.as_str().unwrap_or_default())));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// The element that has the focus: its text, and whether the focus can be seen on it.
fn focused(browser: &mut Browser) -> (String, bool) {
    let told = browser.value(
        "(() => { const one = document.activeElement, style = getComputedStyle(one);
            return [one.textContent.trim() || one.id || one.tagName,
                style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2]; })()",
    );
    (told[0].as_str().unwrap_or_default().to_owned(), told[1] == json!(true))
}

/// Presses Tab until something with this text has the focus.
fn tab_to(browser: &mut Browser, text: &str) {
    for _ in 0..120 {
        browser.press("Tab");
        let (name, seen) = focused(browser);
        assert!(seen, "the focus cannot be seen on {name:?}");
        if name.contains(text) {
            return;
        }
    }
    panic!("no Tab leads to {text:?}");
}

#[test]
fn progress_is_recorded_by_keys_alone_and_the_focus_is_always_seen() {
    let Some(mut browser) = Browser::start() else { return };
    let service = running();
    browser.go(&service.url("/cells"));
    let cell = browser.value(
        "fetch('/api/v1/cells').then((answer) => answer.json())\
         .then((all) => all.cells.find((cell) => cell.now.length === 0 && cell.next.length > 0).id)",
    );
    browser.go(&service.url(&format!("/cells/{}", cell.as_str().expect("an id"))));
    browser.press("Tab");
    assert_eq!(focused(&mut browser).0, "To the content");
    browser.press("Enter");
    browser.wait("document.activeElement.id === 'content'");
    tab_to(&mut browser, "Start");
    browser.press("Enter");
    browser.wait("document.querySelector('#told').textContent.includes('started')");
    browser.wait("document.querySelector('#now .lot-card.running') !== null");
    browser.value("document.querySelector('#content').focus()");
    tab_to(&mut browser, "Stop");
    browser.press("Space");
    browser.wait("document.querySelector('#now details[open]') !== null");
    tab_to(&mut browser, "waiting for tube");
    browser.press("Enter");
    browser.wait("document.querySelector('#now').textContent.includes('waiting for tube')");
    assert_eq!(browser.faults(), &[] as &[String]);
}

/// What is pressed on a cell's page is large enough for a gloved finger: 15 mm and more, at 96 pixels to the
/// inch (common practice, no source; WCAG 2.2, 2.5.5 asks for 44 pixels), and its order is read from afar.
#[test]
fn a_cells_page_is_used_with_gloves_and_read_across_the_shop() {
    let Some(mut browser) = Browser::start() else { return };
    let service = running();
    let pages = busy(&mut browser, &service);
    browser.resize(820, 1180, false);
    for path in pages.iter().filter(|path| path.starts_with("/cells/") && !path.contains("none")) {
        browser.go(&service.url(path));
        browser.value("document.querySelectorAll('.actions details').forEach((one) => { one.open = true; })");
        let small = browser.value(
            "[...document.querySelectorAll('.actions button, .actions summary, .actions input:not([type=hidden])')]
                .map((one) => [one.textContent.trim() || one.name, one.getBoundingClientRect()])
                .filter(([, box]) => box.height < 57 || box.width < 57).map(([name, box]) => name + ' ' + box.width + ' x ' + box.height)",
        );
        assert_eq!(small, json!([]), "{path}");
        let order = browser
            .value("parseFloat(getComputedStyle(document.querySelector('.lot-card .order')).fontSize)");
        assert!(order.as_f64() >= Some(32.0), "{path}: {order} pixels");
    }
}

/// No name of a day or hour is cut off or covers another, and on a telephone the day's chart needs no moving.
#[test]
fn the_chart_is_whole_at_every_width() {
    let Some(mut browser) = Browser::start() else { return };
    let service = running();
    for (width, height) in [(1600, 1000), (1280, 1000), (1024, 768), (820, 1180), (390, 844), (360, 740)] {
        browser.resize(width, height, false);
        browser.go(&service.url("/?week=2026-W50"));
        let faults = browser.value(
            "(() => {
                const faults = [], seen = [...document.querySelectorAll('svg.time')].filter((one) => one.checkVisibility());
                if (seen.length !== 1) faults.push(seen.length + ' charts are shown');
                const [chart] = seen, frame = chart.getBoundingClientRect();
                const names = chart.parentElement.querySelector('svg.names').getBoundingClientRect();
                if (Math.abs(names.height - frame.height) > 1) faults.push('names are ' + names.height + ' high, not ' + frame.height);
                const labels = [...chart.querySelectorAll('text.day')].map((one) => [one.textContent, one.getBoundingClientRect()]);
                if (labels.length < 4) faults.push('few names: ' + labels.length);
                labels.forEach(([name, box], index) => {
                    if (box.left < frame.left - 1 || box.right > frame.right + 1) faults.push(name + ' is cut off');
                    if (index > 0 && box.left < labels[index - 1][1].right) faults.push(name + ' covers ' + labels[index - 1][0]);
                });
                for (const bar of chart.querySelectorAll('.lot[data-order]')) {
                    const text = bar.querySelector('text'), run = bar.querySelector('.run');
                    if (text && text.getBoundingClientRect().right > run.getBoundingClientRect().right + 4) faults.push(text.textContent + ' leaves its bar');
                }
                if (innerWidth < 600 && frame.right > innerWidth) faults.push('the day is wider than the window');
                const small = parseFloat(getComputedStyle(chart).fontSize) * frame.width / chart.viewBox.baseVal.width;
                if (small < 9) faults.push('letters of ' + small + ' pixels');
                return faults;
            })()",
        );
        assert_eq!(faults, json!([]), "{width} pixels wide");
    }
    browser.value(
        "[...document.querySelectorAll('.days a')].find((one) => one.textContent.startsWith('Tue')).click()",
    );
    browser
        .wait("location.search.includes('day=2026-12-08') && document.querySelector('#day-title') !== null");
    let title = browser.value("document.querySelector('#day-title').textContent");
    assert_eq!(title, "Machine time, Tue 8 Dec");
    assert_eq!(browser.faults(), &[] as &[String]);
}

/// A printed page says the same in black on white: no controls, nothing cut off, whatever the desk's colours.
#[test]
fn pages_print_in_black_on_white_without_their_controls() {
    let Some(mut browser) = Browser::start() else { return };
    let service = running();
    let pages = busy(&mut browser, &service);
    browser.resize(1280, 1000, true);
    for path in pages.iter().filter(|path| !path.contains("none") && *path != "/login") {
        browser.go(&service.url(path));
        browser.paper(true, true);
        let colours = browser.value(
            "(() => { const body = getComputedStyle(document.body); return [body.color, body.backgroundColor]; })()",
        );
        assert_eq!(colours, json!(["rgb(0, 0, 0)", "rgb(255, 255, 255)"]), "{path}");
        let controls = browser.value(
            "[...document.querySelectorAll('nav, form, button, .actions, .skip')]\
             .filter((one) => one.checkVisibility()).map((one) => one.outerHTML.slice(0, 80))",
        );
        assert_eq!(controls, json!([]), "{path}");
        let cut = browser.value(
            "[...document.querySelectorAll('.wide')].filter((one) => getComputedStyle(one).overflowX !== 'visible').length",
        );
        assert_eq!(cut, json!(0), "{path}");
        browser.paper(false, true);
        // Base64 of `%PDF-1.`: the first bytes of every PDF (ISO 32000-1, 7.5.2).
        assert!(browser.print().starts_with("JVBERi0xL"), "{path}");
    }
}
