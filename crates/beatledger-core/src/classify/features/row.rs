//! The features of one beat, each set once by its name.

use super::schema::{COUNT, Feature};

/// All features of one beat.
#[derive(Clone, Debug, PartialEq)]
pub struct FeatureRow([f32; COUNT]);

impl FeatureRow {
    /// The value of `feature`.
    pub fn get(&self, feature: Feature) -> f32 {
        self.0[feature as usize]
    }

    /// All values in the order of [`Feature::ALL`].
    pub fn values(&self) -> &[f32; COUNT] {
        &self.0
    }
}

/// A row that is being filled.
pub struct RowBuilder {
    values: [f32; COUNT],
    is_set: [bool; COUNT],
}

impl RowBuilder {
    /// A row with no feature set.
    pub fn new() -> Self {
        Self { values: [0.0; COUNT], is_set: [false; COUNT] }
    }

    /// Sets `feature`; a value that is not finite becomes 0.
    pub fn set(&mut self, feature: Feature, value: f32) {
        debug_assert!(!self.is_set[feature as usize], "{feature:?} is set twice");
        self.values[feature as usize] = finite(value, 0.0);
        self.is_set[feature as usize] = true;
    }

    /// Sets `feature` to 1 for yes and 0 for no.
    pub fn set_if(&mut self, feature: Feature, is: bool) {
        self.set(feature, one_if(is));
    }

    /// The row. In a build with debug assertions it is an error that a feature was not set; otherwise that
    /// one is 0.
    pub fn finish(self) -> FeatureRow {
        debug_assert!(self.missing().is_empty(), "not set: {:?}", self.missing());
        FeatureRow(self.values)
    }

    fn missing(&self) -> Vec<Feature> {
        Feature::ALL.iter().copied().filter(|f| !self.is_set[*f as usize]).collect()
    }
}

/// `value`, or `otherwise` where it is not finite.
pub fn finite(value: f32, otherwise: f32) -> f32 {
    if value.is_finite() { value } else { otherwise }
}

/// 1 for yes and 0 for no.
pub fn one_if(is: bool) -> f32 {
    f32::from(u8::from(is))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_feature_that_was_not_set_is_named_and_one_that_is_not_finite_is_0() {
        let mut row = RowBuilder::new();
        Feature::ALL[1..].iter().for_each(|f| row.set(*f, f32::NAN));
        assert_eq!(row.missing(), [Feature::Early]);
        row.set(Feature::Early, 0.25);
        let row = row.finish();
        assert_eq!((row.get(Feature::Early), row.get(Feature::NormalStartCosine)), (0.25, 0.0));
        assert_eq!(row.values()[0], 0.25);
    }

    /// Whether `fill` panics.
    fn panics(fill: fn()) -> bool {
        std::panic::catch_unwind(fill).is_err()
    }

    #[test]
    fn with_debug_assertions_a_row_with_a_hole_or_with_a_feature_set_twice_fails() {
        assert_eq!(panics(|| drop(RowBuilder::new().finish())), cfg!(debug_assertions));
        let twice = || {
            let mut row = RowBuilder::new();
            row.set(Feature::Early, 0.1);
            row.set(Feature::Early, 0.2);
        };
        assert_eq!(panics(twice), cfg!(debug_assertions));
    }
}
