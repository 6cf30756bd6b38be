//! What the engine is to reach on published sets.

const FLEXIBLE: &str = "mean 2 % in 10 s, 1 % in 60 s";
const PROVEN: &str = "proven optima met; elsewhere at most 2 %";

/// Beginning of a set's name, beginnings of its instances' names (none for all), and what is asked.
const TARGETS: [(&str, &[&str], &str); 16] = [
    ("fjsp_kacem", &[], "exact"),
    ("fjsp_fattahi", &[], "exact"),
    ("fjsp_brandimarte", &[], FLEXIBLE),
    ("fjsp_hurink", &[], FLEXIBLE),
    ("fjsp_dauzere", &[], FLEXIBLE),
    ("fjsp_barnes", &[], FLEXIBLE),
    ("fjsp_behnke", &[], FLEXIBLE),
    ("fjsp_workers", &[], PROVEN),
    ("jsp_classic", &["ft", "la", "abz", "orb"], "mean 0.5 % in 60 s"),
    ("jsp_classic", &["swv", "yn", "ta", "dmu"], "mean 3 % in 60 s"),
    ("jsp_operators", &[], "mean 3 % in 60 s"),
    ("jsp_total_tardiness", &[], PROVEN),
    ("wt_orlib", &[], "best known on 95 % in 10 s"),
    ("wtsds", &[], "mean 3 % in 10 s"),
    ("upmsp_sdst_small", &[], "all optimal in 5 s"),
    ("upmsp_sdst_large", &[], "at most 3 % in 60 s"),
];

/// The hardest to compare of the set with setups, many of whose best values are next to nothing: a few minutes
/// make a large share there.
const NOT_ASKED: (&str, u32) = ("wtsds", 40);

/// What is summed up together with an instance, and what is asked of it.
pub fn target(set: &str, instance: &str) -> (String, &'static str) {
    let number = instance.rsplit('_').next().and_then(|number| number.parse::<u32>().ok());
    if set == NOT_ASKED.0 && number.is_some_and(|number| number <= NOT_ASKED.1) {
        return (format!("{set}: to {}", NOT_ASKED.1), "-");
    }
    let fits = |names: &[&str]| names.is_empty() || names.iter().any(|name| instance.starts_with(name));
    let row = TARGETS.iter().find(|(begin, names, _)| set.starts_with(begin) && fits(names));
    match row {
        Some((_, names, asked)) if !names.is_empty() => (format!("{set}: {}", names.join(", ")), asked),
        Some((_, _, asked)) => (set.to_owned(), asked),
        None => (set.to_owned(), "-"),
    }
}
