//! What a hunt usually takes and where the draw usually is: the table `assets/hunt.toml`.

use std::sync::LazyLock;

use serde::Deserialize;

/// The table.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UsualHunt {
    /// How long each thing takes.
    pub times: HuntTimes,
    pub(super) odds: Odds,
    pub(super) one_load: OneLoad,
    pub(super) words: Words,
    pub(super) weights: Vec<Weighed>,
}

/// How long each thing takes, in seconds.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HuntTimes {
    /// To pull or refit one fuse.
    pub handle_s: f64,
    /// From a removal to the settled level.
    pub pull_s: f64,
    /// From a refit, through the wake it causes, to the settled level.
    pub refit_s: f64,
    /// To reach and part one connector.
    pub unplug_s: f64,
    /// To look at what has no fuse.
    pub unfused_s: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Odds {
    pub one_in: f64,
    pub unfused_share: f64,
    pub one_by_one_share: f64,
    pub suspect_share: f64,
    pub look_share: f64,
    pub main_share: f64,
    pub usual_weight: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct OneLoad {
    pub fuses_most: usize,
    pub candidate_most: usize,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Words {
    pub carry_sleep: Vec<String>,
    pub unfused: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Weighed {
    pub weight: f64,
    pub words: Vec<String>,
}

static TABLE: LazyLock<UsualHunt> = LazyLock::new(|| {
    toml::from_str(include_str!("../../../assets/hunt.toml"))
        .expect("the table is built in, and read in every test of a plan")
});

/// The table, read once.
pub fn usual() -> &'static UsualHunt {
    &TABLE
}
