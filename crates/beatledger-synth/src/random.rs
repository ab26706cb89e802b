//! A small random generator of our own, so that the bytes of a made day never depend on a library's version.
//!
//! xoshiro256++ (Blackman and Vigna, "Scrambled linear pseudorandom number generators", ACM TOMS 47(4), 2021),
//! seeded through SplitMix64 (Steele, Lea and Flood, OOPSLA 2014), both from memory.

/// What a stream of random numbers is for; streams of different purpose never share numbers.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Purpose {
    Course = 1,
    Script = 2,
    Walk = 3,
    Motion = 4,
    Wander = 5,
    White = 6,
    Muscle = 7,
    Fibrillation = 8,
    Contact = 9,
}

/// One stream of random numbers.
#[derive(Clone, Debug)]
pub(crate) struct Random {
    state: [u64; 4],
}

fn split_mix(state: &mut u64) -> u64 {
    *state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

impl Random {
    /// The stream of `seed` for `purpose` at `place` (a block, a burst, a lead).
    pub(crate) fn new(seed: u64, purpose: Purpose, place: u64) -> Self {
        let mut key = seed;
        let a = split_mix(&mut key);
        key = a ^ (purpose as u64).wrapping_mul(0xD6E8_FEB8_6659_FD93);
        let b = split_mix(&mut key);
        key = b ^ place.wrapping_mul(0xA076_1D64_78BD_642F);
        let state = [split_mix(&mut key), split_mix(&mut key), split_mix(&mut key), split_mix(&mut key)];
        Self { state }
    }

    /// The next 64 bits.
    pub(crate) fn bits(&mut self) -> u64 {
        let s = &mut self.state;
        let out = s[0].wrapping_add(s[3]).rotate_left(23).wrapping_add(s[0]);
        let t = s[1] << 17;
        s[2] ^= s[0];
        s[3] ^= s[1];
        s[1] ^= s[2];
        s[0] ^= s[3];
        s[2] ^= t;
        s[3] = s[3].rotate_left(45);
        out
    }

    /// Uniform in 0..1.
    pub(crate) fn share(&mut self) -> f64 {
        (self.bits() >> 11) as f64 * (1.0 / 9_007_199_254_740_992.0)
    }

    /// Uniform between `low` and `high`.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// Near-normal with mean 0 and deviation 1: the sum of four uniforms, so never beyond 3.47.
    pub(crate) fn bell(&mut self) -> f32 {
        let b = self.bits();
        let sum = (b & 0xFFFF) + (b >> 16 & 0xFFFF) + (b >> 32 & 0xFFFF) + (b >> 48);
        // Variance of the sum is 4 * 65536^2 / 12.
        (sum as f32 - 131_070.0) * (1.732_050_8 / 65_536.0)
    }

    /// True with probability `chance`.
    pub(crate) fn happens(&mut self, chance: f64) -> bool {
        self.share() < chance
    }

    /// Plus or minus one.
    pub(crate) fn sign(&mut self) -> f64 {
        if self.bits() >> 63 == 0 { 1.0 } else { -1.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bell_numbers_have_mean_zero_and_deviation_one() {
        let mut random = Random::new(7, Purpose::White, 0);
        let xs: Vec<f64> = (0..100_000).map(|_| f64::from(random.bell())).collect();
        let mean = xs.iter().sum::<f64>() / xs.len() as f64;
        let variance = xs.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / xs.len() as f64;
        assert!(mean.abs() < 0.02, "mean {mean}");
        assert!((variance - 1.0).abs() < 0.02, "variance {variance}");
    }

    #[test]
    fn streams_of_other_purpose_place_or_seed_differ() {
        let first = |seed, purpose, place| Random::new(seed, purpose, place).bits();
        let base = first(7, Purpose::White, 0);
        assert_eq!(base, first(7, Purpose::White, 0));
        assert_ne!(base, first(8, Purpose::White, 0));
        assert_ne!(base, first(7, Purpose::Muscle, 0));
        assert_ne!(base, first(7, Purpose::White, 1));
    }
}
