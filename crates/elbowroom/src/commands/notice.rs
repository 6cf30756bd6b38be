use super::not_written;
use crate::args::NoticeArgs;
use crate::console;
use crate::exit::Exit;
use elbowroom_files::{BoardError, Severity, notice_toml, post_notice, read_shop, remove_notice};
use elbowroom_shop::notice::Notice;
use serde_json::{Value, json};

/// Posts a notice, takes one down, or lists those that stand.
pub fn run(args: &NoticeArgs) -> Exit {
    match notice(args) {
        Ok(()) => Exit::Done,
        Err(exit) => exit,
    }
}

fn notice(args: &NoticeArgs) -> Result<(), Exit> {
    match (&args.post, args.remove) {
        (Some(_), Some(_)) => {
            console::tell("error: post a notice or take one down, not both at once");
            return Err(Exit::BadInput);
        }
        (Some(post), None) => post_notice(&args.shop, &post.clone().notice()).map_err(tell)?,
        (None, Some(number)) => remove_notice(&args.shop, number).map_err(tell)?,
        (None, None) => {}
    }
    let loaded = read_shop(&args.shop);
    let faults = loaded.findings.iter().filter(|finding| finding.severity == Severity::Error);
    faults.clone().for_each(|finding| console::tell(&format!("{finding}\n")));
    console::print(&if args.json { as_json(&loaded.notices) } else { as_text(&loaded.notices) });
    if faults.count() > 0 { Err(Exit::BadInput) } else { Ok(()) }
}

fn tell(error: BoardError) -> Exit {
    match error {
        BoardError::Refused(findings) => {
            findings.iter().for_each(|finding| console::tell(&format!("{finding}\n")));
            console::tell("nothing was changed: the shop would have the faults above");
            Exit::BadInput
        }
        BoardError::NoSuch(count) => {
            console::tell(&format!("error: there is no notice of this number; {count} stand"));
            Exit::BadInput
        }
        BoardError::Locked(error) => not_written(&error, error.remedy()),
        BoardError::NotWritten(error) => not_written(&error, error.remedy()),
    }
}

fn as_text(notices: &[Notice]) -> String {
    if notices.is_empty() {
        return "no notice stands: the shop is as its files say\n".to_owned();
    }
    let line = |(number, notice): (usize, &Notice)| {
        let why = if notice.why.is_empty() { String::new() } else { format!(" ({})", notice.why) };
        format!("{:3}  {}{why}\n", number + 1, notice.change)
    };
    notices.iter().enumerate().map(line).collect()
}

fn as_json(notices: &[Notice]) -> String {
    let one = |(number, notice): (usize, &Notice)| {
        json!({
            "number": number + 1,
            "text": notice.change.to_string(),
            "why": notice.why,
            "toml": notice_toml(notice),
        })
    };
    json!({ "notices": notices.iter().enumerate().map(one).collect::<Vec<Value>>() }).to_string()
}
