//! Cautions that documents and reports show, short and not nagging.

/// One caution, and where it comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Notice {
    /// What to say.
    pub text: &'static str,
    /// The rule or standard behind it; `None`: common practice.
    pub source: Option<&'static str>,
}

/// The two sentences under every table of times and processes.
pub const ESTIMATES: &str = "Estimates for planning: the first article and the tooling maker decide. \
    Pressure, structural and vehicle parts follow the applicable code and a licensed engineer.";

/// The sentence under every plan.
pub const ADVICE: &str = "A plan is advice. It starts, stops and unlocks no machine and does not replace the \
    operator's judgement.";

/// All cautions, for the handbook.
pub const ALL: [Notice; 14] = [
    Notice { text: ADVICE, source: None },
    Notice {
        text: "Pinch, shear and swing hazards at clamp, pressure die, bend arm and the sweeping tube: keep the swing \
               area clear and guarded.",
        source: Some("OSHA 29 CFR 1910.212"),
    },
    Notice {
        text: "Hydraulic and pneumatic pressure, springs and raised parts hold energy after power-off: release and \
               verify before hands go in.",
        source: Some("OSHA 29 CFR 1910.147"),
    },
    Notice {
        text: "Die change is servicing: lock out or tag out where a guard is removed or a body part enters the point \
               of operation. The exception for minor, routine, integral tool changes needs other effective protection.",
        source: Some("OSHA 29 CFR 1910.147(a)(2)(ii)"),
    },
    Notice {
        text: "Two-hand control, light curtains and hold-to-run are safeguards, not energy isolation.",
        source: Some("OSHA letter on die setting, 22 April 2005"),
    },
    Notice {
        text: "Risk assessment and risk reduction of the machine are the maker's and the user's duty.",
        source: Some("ISO 12100"),
    },
    Notice { text: "Two-hand control devices have their own standard.", source: Some("ISO 13851") },
    Notice {
        text: "Pressure piping, heat exchanger tubes, structural, lifting, vehicle-safety and aircraft parts: the \
               governing code and a licensed engineer set wall, ovality and procedure. The estimates here are not a \
               design.",
        source: Some("ASME B31.1, B31.3, TEMA, EN 13480"),
    },
    Notice {
        text: "Bending stretches the outside wall: check the crack risk in hard tempers, and after cold work ask \
               whether heat treatment is required.",
        source: None,
    },
    Notice {
        text: "Lubricants, washers, welding fume and coated or galvanised tube: follow safety data sheets and \
               ventilation rules; clean before welding.",
        source: None,
    },
    Notice {
        text: "Hot, sharp and springy parts: cut ends, drops, coils and bundles. Gloves away from rotating parts.",
        source: None,
    },
    Notice {
        text: "Working time, breaks, overtime and minors' work are set by local law and agreements; the calendar is \
               the shop's, nothing is assumed.",
        source: None,
    },
    Notice { text: "Promise dates are estimates with a stated confidence, not a contract.", source: None },
    Notice { text: "Heavy dies: a lifting aid and a second person by the shop's limits.", source: None },
];
