//! Which view stands on the stage.

/// A view on the stage.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stage {
    /// The full day of tracing in rows.
    #[default]
    Strip,
    /// Beats grouped by shape and timing.
    Grid,
    /// RR intervals against the one before.
    Scatter,
    /// The live summary.
    Figures,
}

impl Stage {
    /// All, in the order of their keys.
    pub const ALL: [Stage; 4] = [Self::Strip, Self::Grid, Self::Scatter, Self::Figures];

    /// Name on screen.
    pub fn words(self) -> &'static str {
        match self {
            Self::Strip => "Day strip",
            Self::Grid => "Morphology grid",
            Self::Scatter => "RR scatter",
            Self::Figures => "Figures",
        }
    }

    /// The one after it, round and round.
    pub fn next(self) -> Self {
        Self::ALL[(self as usize + 1) % Self::ALL.len()]
    }
}
