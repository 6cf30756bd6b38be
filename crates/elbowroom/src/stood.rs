//! The plan that stood, and what else the store knows, for a new plan.

use crate::args::{PlanArgs, StoreArgs, WhatIfArgs};
use crate::commands::{open_store, tell_store, user};
use crate::console;
use crate::exit::Exit;
use crate::plan_folder::{Earlier, against};
use crate::shop_folder::{self, Read};
use chrono::{DateTime, FixedOffset, NaiveDate, SubsecRound, Utc};
use elbowroom_engine::{Settings, Watch};
use elbowroom_files::{RawFolder, read_outline};
use elbowroom_planner::plan::Plan;
use elbowroom_planner::{Near, PlanError, Planned, Replanned, Request, plan_anew};
use elbowroom_server::{Base, Made, first_day, input};
use elbowroom_shop::{Shop, Steadiness};
use elbowroom_store::{Document, PlanHead, Signature, SqliteStore, Store};
use elbowroom_units::Minute;
use std::path::Path;

/// Where to look for what a new plan begins from.
pub struct Beginning<'a> {
    shop: &'a Path,
    store: &'a StoreArgs,
    /// Whether there has to be a store.
    needs_store: bool,
    near: Option<&'a Path>,
    afresh: bool,
    now: Option<DateTime<FixedOffset>>,
}

impl<'a> From<&'a PlanArgs> for Beginning<'a> {
    fn from(args: &'a PlanArgs) -> Self {
        Self {
            shop: &args.shop,
            store: &args.store,
            needs_store: args.publish.publish,
            near: args.steady.near.as_deref(),
            afresh: args.steady.afresh,
            now: args.steady.now,
        }
    }
}

impl<'a> From<&'a WhatIfArgs> for Beginning<'a> {
    fn from(args: &'a WhatIfArgs) -> Self {
        let WhatIfArgs { shop, store, afresh, now, .. } = args;
        Self { shop, store, needs_store: false, near: None, afresh: *afresh, now: *now }
    }
}

/// What a new plan begins from.
pub struct Stood {
    store: Option<(SqliteStore, Base)>,
    folder: Option<Earlier>,
    afresh: bool,
    now: DateTime<Utc>,
}

impl Stood {
    /// Reads the folder that is named, and the store where there is one (or has to be one).
    pub fn read(from: &Beginning<'_>) -> Result<Self, Exit> {
        let folder = from.near.map(Earlier::read).transpose()?;
        let path = from.store.path(from.shop);
        let wanted = from.needs_store || from.store.store.is_some() || path.exists();
        let store = wanted.then(|| open_store(&path)).transpose()?;
        let base = |store: SqliteStore| {
            let base = Base::read(&store).map_err(|error| {
                console::tell(&format!("error: {}: {error}", path.display()));
                Exit::BadInput
            })?;
            Ok((store, base))
        };
        Ok(Self {
            store: store.map(base).transpose()?,
            folder,
            afresh: from.afresh,
            now: from.now.map_or_else(|| Utc::now().trunc_subsecs(3), |now| now.to_utc()),
        })
    }

    /// The store, if something has been published, promised or reported.
    fn base(&self) -> Option<&Base> {
        self.store.as_ref().map(|(_, base)| base).filter(|base| !base.is_empty())
    }

    /// The shop folder, read for the first day of the new plan.
    pub fn shop_folder(&self, folder: &Path, start: Option<NaiveDate>) -> Read {
        let read = shop_folder::read(folder, start);
        let (Some(_), None, Some(shop)) = (self.base(), start, &read.loaded.shop) else { return read };
        let first = first_day(shop.terms.plan_start, self.now, shop.terms.time_zone);
        if first == read.start { read } else { shop_folder::read(folder, Some(first)) }
    }

    /// The shop with what was promised and reported.
    pub fn shop(&self, shop: Shop, request: Request) -> Shop {
        let made = Made { request, now: self.now };
        match self.base() {
            Some(base) => base.shop(shop, &made),
            None => shop,
        }
    }

    /// Which plan stood, for people; `None`: none did.
    pub fn named(&self) -> Option<String> {
        if self.folder.is_some() || self.afresh {
            return None;
        }
        let head = self.base()?.head()?;
        let signature = match &head.outcome {
            elbowroom_store::Outcome::Published { signature, .. } => signature,
            _ => return None,
        };
        Some(format!(
            "begun from plan {}, which {} published on {}; --afresh plans as if it had not stood",
            head.id,
            signature.by,
            signature.at.format("%Y-%m-%d")
        ))
    }

    /// The plan that stood, if one did.
    pub fn near(&self, shop: &Shop, request: &Request) -> Option<Near<'_>> {
        match &self.folder {
            Some(folder) => Some(folder.near(request.start, shop.terms.time_zone)),
            None if self.afresh => None,
            None => self.base()?.near(shop, request.start),
        }
    }

    /// Plans near the plan that stood.
    pub fn plan(
        &self,
        shop: &Shop,
        request: &Request,
        settings: &Settings,
        watch: &dyn Watch,
        steadiness: &Steadiness,
    ) -> Result<Replanned, PlanError> {
        plan_anew(shop, request, settings, watch, self.near(shop, request), steadiness)
    }

    /// How far a new plan is from it, in a sentence.
    pub fn against(&self, plan: &Plan) -> Option<String> {
        match &self.folder {
            Some(folder) => Some(folder.against(plan)),
            None if self.afresh => None,
            None => {
                let outline = read_outline(self.base()?.document()?).ok()?;
                Some(against(&outline, plan))
            }
        }
    }

    /// Makes the new plan the shop's plan, if nobody has published another meanwhile.
    pub fn publish(&self, args: &PlanArgs, planned: &Planned, request: Request) -> Result<PlanHead, Exit> {
        let (store, base) = self.store.as_ref().expect("whoever publishes has a store open");
        let by = args.publish.by.clone().unwrap_or_else(user);
        // Without anything to carry over nothing of the plan's time has passed for it.
        let begins = planned.plan.clock.local(Minute::ZERO).to_utc();
        let now = if self.base().is_some() { self.now } else { self.now.min(begins) };
        let made = Made { request, now };
        let at = args.steady.now.map_or_else(Utc::now, |told| told.to_utc());
        let signature = Signature { by, at: at.trunc_subsecs(3) };
        let inputs: Vec<Document> =
            RawFolder::open(&args.shop).files().map(|(name, bytes)| input(name, bytes)).collect();
        let proposal = base.proposal(inputs, planned, &made, signature.clone(), &args.publish.why);
        let proposed = store.propose(&proposal).map_err(|error| tell_store(&error))?;
        store.publish(proposed.id, base.version(), &signature).map_err(|error| {
            let exit = tell_store(&error);
            console::tell(&format!(
                "  hint: {}; the new plan is kept as proposal {}",
                error.remedy(),
                proposed.id
            ));
            exit
        })
    }
}
