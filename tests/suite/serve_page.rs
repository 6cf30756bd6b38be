//! The live page in a real browser: it updates itself, is usable by everybody, and asks nobody else.

use elbowroom_tests::browser::Browser;
use elbowroom_tests::service::{Running, running};
use serde_json::{Value, json};

/// A browser and a service with the demo week; `None` where there is no browser.
fn set() -> Option<(Browser, Running)> {
    Some((Browser::start()?, running()))
}

const PAGES: [&str; 8] =
    ["/", "/cells", "/cells/draw-1", "/orders", "/tooling", "/load", "/plans", "/inquiry"];

#[test]
fn progress_recorded_on_the_cells_page_changes_the_chart_elsewhere_without_reload() {
    let Some((mut floor, service)) = set() else { return };
    let Some(mut office) = Browser::start() else { return };
    office.go(&service.url("/"));
    office.value("window.notReloaded = true");
    let lot = office.value("document.querySelector('.chart .lot.planned[data-order]').dataset.order");
    let cells = floor_cells(&mut floor, &service);
    let (cell, order) = cells
        .as_array()
        .and_then(|cells| cells.first())
        .map(|one| (one[0].clone(), one[1].clone()))
        .expect("a cell with work");
    floor.go(&service.url(&format!("/cells/{}", cell.as_str().expect("an id"))));
    let state = |order: &Value| {
        format!("document.querySelector('.chart .lot[data-order={order}][data-state=running]') !== null")
    };
    assert_eq!(office.value(&state(&order)), json!(false), "{lot}");
    floor.value("[...document.querySelectorAll('#next button')].find(button => button.textContent.includes('Start')).click()");
    floor.wait(&format!("document.querySelector('#now').textContent.includes({order})"));
    floor.wait("document.querySelector('#told').textContent.includes('started')");
    office.wait(&state(&order));
    assert_eq!(office.value("window.notReloaded"), json!(true));
    // Stop with a reason, as a gloved hand would: open, press one of the large buttons.
    floor.value("document.querySelector('#now details summary').click()");
    floor.value("document.querySelector('#now details[open] button[name=reason]').click()");
    floor.wait("document.querySelector('#now').textContent.includes('waiting for tube')");
    office.wait("document.querySelector('#decisions').textContent.includes('waiting for tube')");
    assert_eq!((floor.faults(), office.faults()), (&[][..], &[][..]));
}

/// Cells on which nothing runs and something waits: id and order.
fn floor_cells(browser: &mut Browser, service: &Running) -> Value {
    browser.go(&service.url("/cells"));
    browser.value(
        "fetch('/api/v1/cells').then(answer => answer.json()).then(all => all.cells\
         .filter(cell => cell.now.length === 0 && cell.next.length > 0).map(cell => [cell.id, cell.next[0].order]))",
    )
}

#[test]
fn a_plan_is_made_published_and_shown_without_reload() {
    let Some((mut browser, service)) = set() else { return };
    browser.go(&service.url("/plans"));
    browser.value(
        "document.querySelector('#seconds').value = 1; document.querySelector('#asker').value = 'Ada'",
    );
    browser.value(
        "[...document.querySelectorAll('button')].find(button => button.textContent === 'Plan anew').click()",
    );
    browser.wait("document.querySelector('#decisions').textContent.includes('waits for a decision')");
    browser.value("[...document.querySelectorAll('#decisions button')].find(button => button.textContent.startsWith('Publish')).click()");
    browser.wait("document.querySelector('#history tbody tr').textContent.includes('published')");
    assert!(
        browser
            .value("document.querySelector('#history tbody tr').textContent")
            .as_str()
            .is_some_and(|row| row.contains("Ada"))
    );
    assert_eq!(browser.faults(), &[] as &[String]);
}

#[test]
fn pages_fit_a_phone_and_large_targets_are_large() {
    let Some((mut browser, service)) = set() else { return };
    browser.resize(360, 740, false);
    for page in PAGES {
        browser.go(&service.url(page));
        let wide = browser.value("document.documentElement.scrollWidth");
        assert!(wide.as_f64().is_some_and(|wide| wide <= 360.0), "{page} is {wide} wide");
    }
    browser.resize(1024, 768, false);
    browser.go(&service.url("/cells/draw-1"));
    let small = browser.value(
        "[...document.querySelectorAll('.actions > form button, .actions summary')].map(one => one.getBoundingClientRect())\
         .filter(box => box.height > 0 && (box.height < 60 || box.width < 60)).length",
    );
    assert_eq!(small, json!(0), "targets for gloves have at least 60 pixels each way");
    assert!(
        browser
            .value("parseFloat(getComputedStyle(document.querySelector('.lot-card .order')).fontSize)")
            .as_f64()
            >= Some(28.0)
    );
}

/// WCAG 2.2 as far as a program can tell: names, labels, headings, languages, contrast, targets.
#[test]
fn pages_have_names_labels_and_order_for_everybody() {
    let Some((mut browser, service)) = set() else { return };
    for page in PAGES {
        browser.go(&service.url(page));
        let faults = browser.value(include_str!("page_checks.js"));
        assert_eq!(faults, json!([]), "{page}");
    }
    assert_eq!(browser.faults(), &[] as &[String]);
}

#[test]
fn words_stand_out_on_light_and_on_dark() {
    let Some((mut browser, service)) = set() else { return };
    for dark in [false, true] {
        browser.resize(1280, 900, dark);
        for page in PAGES {
            browser.go(&service.url(page));
            let faint = browser.value(include_str!("page_contrast.js"));
            assert_eq!(faint, json!([]), "{page}, dark: {dark}");
        }
    }
}

#[test]
fn the_keyboard_reaches_everything_and_one_sees_where_it_is() {
    let Some((mut browser, service)) = set() else { return };
    browser.go(&service.url("/cells/draw-1"));
    let mut seen = Vec::new();
    for _ in 0..60 {
        for kind in ["rawKeyDown", "keyUp"] {
            browser.call(
                "Input.dispatchKeyEvent",
                &json!({ "type": kind, "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9 }),
            );
        }
        let at = browser.value("document.activeElement.textContent.trim().slice(0, 30)");
        let outlined = browser.value("getComputedStyle(document.activeElement).outlineStyle !== 'none'");
        assert_eq!(outlined, json!(true), "{at} has no outline");
        seen.push(at.as_str().unwrap_or_default().to_owned());
    }
    for wanted in ["To the content", "Cells", "\u{2713} Finish"] {
        assert!(seen.iter().any(|at| at.starts_with(wanted)), "{wanted} is not among {seen:?}");
    }
}
