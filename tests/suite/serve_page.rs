//! The live page in a real browser: it updates itself, and asks nobody else.

use elbowroom_tests::browser::Browser;
use elbowroom_tests::service::{Running, running};
use serde_json::{Value, json};

/// A browser and a service with the demo week; `None` where there is no browser.
fn set() -> Option<(Browser, Running)> {
    Some((Browser::start()?, running()))
}

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
fn a_promise_is_asked_for_accepted_and_found_again() {
    let Some((mut browser, service)) = set() else { return };
    browser.go(&service.url("/inquiry"));
    let part = browser.value("document.querySelector('#parts option').value");
    browser.value(&format!(
        "Object.entries({{ part: {part}, quantity: '40', customer: 'Seilbahn Tal', asker: 'Ada' }})\
         .forEach(([id, value]) => {{ document.getElementById(id).value = value; }})"
    ));
    browser
        .value("[...document.querySelectorAll('button')].find((one) => one.textContent === 'Ask').click()");
    browser.wait("document.querySelector('#answers').textContent.includes('Asked by Ada for Seilbahn Tal')");
    browser.value("[...document.querySelectorAll('#answers button')].find((one) => one.textContent.startsWith('Promise it')).click()");
    browser.wait("document.querySelector('#answers').textContent.includes('Promised, as promise 1')");
    browser.go(&service.url("/promises"));
    browser.value(
        "document.querySelector('#about').value = 'seilbahn'; document.querySelector('form').requestSubmit()",
    );
    browser
        .wait("location.search.includes('seilbahn') && document.querySelector('#promises article') !== null");
    let told = browser.value("document.querySelector('#promises article').textContent");
    assert!(
        told.as_str()
            .is_some_and(|told| told.contains("Seilbahn Tal") && told.contains("not in the present plan")),
        "{told}"
    );
    assert_eq!(browser.faults(), &[] as &[String]);
}
