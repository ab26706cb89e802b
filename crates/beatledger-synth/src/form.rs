//! Waves as sums of Gaussians of a three-dimensional dipole.
//!
//! McSharry, Clifford, Tarassenko and Smith, "A dynamical model for generating synthetic electrocardiogram
//! signals", IEEE TBME 50:289-294 (2003), place a Gaussian event for P, Q, R, S and T on the phase of a limit
//! cycle; evaluated on that phase the model is a sum of Gaussians. Sameni, Clifford, Jutten and Shamsollahi,
//! "Multichannel ECG and noise modeling", EURASIP J. Adv. Signal Process. 2007:043407, give each event an
//! amplitude in three dimensions. The parameters here are our own, chosen by eye for each kind of beat.
//! Repolarisation stretches with the square root of the RR interval, as in the authors' rate factor.
//!
//! Axes: x to the left, y to the feet, z to the front. Amplitudes in mV on a lead of unit length.

/// One Gaussian of a wave.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bump {
    /// Centre, ms after the main deflection (or after the centre of the P wave).
    pub(crate) at_ms: f64,
    /// Standard deviation, ms.
    pub(crate) sigma_ms: f64,
    /// Amplitude of the dipole, mV.
    pub(crate) xyz: [f64; 3],
}

const fn bump(at_ms: f64, sigma_ms: f64, x: f64, y: f64, z: f64) -> Bump {
    Bump { at_ms, sigma_ms, xyz: [x, y, z] }
}

/// A wave: what it looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Form {
    /// P of the sinus node: right atrium, then left.
    PSinus,
    /// P of an ectopic atrial focus low in the atrium: upside down in the inferior leads.
    PEctopic,
    /// QRS conducted the usual way.
    QrsNarrow,
    /// Ventricular shape A: from above and the right, tall in inferior leads, negative in V1.
    QrsVentA,
    /// Ventricular shape B: from below and the left, negative in inferior leads, positive in V1, wider.
    QrsVentB,
    /// Half conducted, half shape A.
    QrsFusion,
    /// T after a conducted beat.
    TNarrow,
    /// T after shape A, opposite to its QRS.
    TVentA,
    /// T after shape B, opposite to its QRS.
    TVentB,
    /// T after a fusion beat.
    TFusion,
}

const P_SINUS: &[Bump] = &[bump(-14.0, 17.0, 0.045, 0.105, 0.060), bump(16.0, 18.0, 0.080, 0.080, -0.045)];
const P_ECTOPIC: &[Bump] =
    &[bump(-12.0, 16.0, 0.030, -0.110, 0.050), bump(14.0, 16.0, 0.030, -0.090, -0.020)];
const QRS_NARROW: &[Bump] = &[
    bump(-25.0, 8.0, -0.160, -0.120, 0.330),
    bump(0.0, 11.0, 1.250, 0.980, -0.420),
    bump(25.0, 9.0, -0.300, -0.160, -0.480),
];
const T_NARROW: &[Bump] = &[
    bump(258.0, 52.0, 0.170, 0.125, 0.105),
    bump(302.0, 30.0, 0.200, 0.150, 0.110),
    bump(120.0, 60.0, 0.012, 0.01, 0.006),
];
const QRS_VENT_A: &[Bump] = &[
    bump(-36.0, 17.0, 0.150, 0.500, 0.160),
    bump(0.0, 21.0, 0.950, 1.350, -1.150),
    bump(40.0, 19.0, 0.420, 0.420, -0.500),
];
const T_VENT_A: &[Bump] = &[
    bump(130.0, 50.0, -0.080, -0.160, 0.120),
    bump(250.0, 55.0, -0.310, -0.400, 0.340),
    bump(300.0, 34.0, -0.170, -0.220, 0.180),
];
const QRS_VENT_B: &[Bump] = &[
    bump(-44.0, 19.0, -0.100, -0.300, 0.600),
    bump(0.0, 24.0, -1.050, -1.250, 1.150),
    bump(50.0, 22.0, -0.700, -0.250, 0.300),
];
const T_VENT_B: &[Bump] = &[
    bump(140.0, 52.0, 0.140, 0.140, -0.120),
    bump(262.0, 58.0, 0.380, 0.360, -0.340),
    bump(312.0, 36.0, 0.210, 0.190, -0.180),
];
const QRS_FUSION: &[Bump] = &[
    bump(-30.0, 14.0, 0.020, 0.260, 0.220),
    bump(0.0, 16.0, 0.900, 1.180, -0.800),
    bump(32.0, 15.0, 0.060, 0.140, -0.420),
];
const T_FUSION: &[Bump] =
    &[bump(254.0, 53.0, -0.040, -0.140, 0.210), bump(300.0, 32.0, 0.030, -0.040, 0.140)];

impl Form {
    /// The Gaussians of the wave at one second of RR.
    pub(crate) fn bumps(self) -> &'static [Bump] {
        match self {
            Self::PSinus => P_SINUS,
            Self::PEctopic => P_ECTOPIC,
            Self::QrsNarrow => QRS_NARROW,
            Self::QrsVentA => QRS_VENT_A,
            Self::QrsVentB => QRS_VENT_B,
            Self::QrsFusion => QRS_FUSION,
            Self::TNarrow => T_NARROW,
            Self::TVentA => T_VENT_A,
            Self::TVentB => T_VENT_B,
            Self::TFusion => T_FUSION,
        }
    }

    /// Limits, ms from the place of the wave: 2.5 deviations before the first Gaussian and after the last, where
    /// less than 5 % of an outer Gaussian is left.
    pub(crate) fn limits_ms(self) -> (f64, f64) {
        let bumps = self.bumps();
        let on = bumps.iter().map(|b| b.at_ms - 2.5 * b.sigma_ms).fold(f64::INFINITY, f64::min);
        let off = bumps.iter().map(|b| b.at_ms + 2.5 * b.sigma_ms).fold(f64::NEG_INFINITY, f64::max);
        (on, off)
    }

    /// Width, ms.
    #[cfg(test)]
    pub(crate) fn width_ms(self) -> f64 {
        let (on, off) = self.limits_ms();
        off - on
    }
}

/// A wave in the day.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Wave {
    /// Place of the main deflection (P: of its centre), s.
    pub(crate) at_s: f64,
    /// What it looks like.
    pub(crate) form: Form,
    /// Factor on times and widths.
    pub(crate) stretch: f32,
    /// Factor on amplitude.
    pub(crate) gain: f32,
}

/// No part of a wave lies further than this from its place, s.
pub(crate) const WAVE_REACH_S: f64 = 1.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conducted_beats_are_narrow_and_ventricular_beats_are_wide() {
        // Below 110 ms and from 120 ms: AHA/ACCF/HRS 2009 on conduction, second hand.
        assert!(Form::QrsNarrow.width_ms() < 110.0, "{}", Form::QrsNarrow.width_ms());
        assert!(Form::QrsVentA.width_ms() >= 140.0, "{}", Form::QrsVentA.width_ms());
        assert!(Form::QrsVentB.width_ms() >= 160.0, "{}", Form::QrsVentB.width_ms());
        let fusion = Form::QrsFusion.width_ms();
        assert!(fusion > Form::QrsNarrow.width_ms() && fusion < Form::QrsVentA.width_ms());
    }

    #[test]
    fn the_t_wave_of_a_ventricular_beat_points_against_its_qrs() {
        let sum = |form: Form| {
            form.bumps().iter().fold([0.0; 3], |a, b| {
                [a[0] + b.sigma_ms * b.xyz[0], a[1] + b.sigma_ms * b.xyz[1], a[2] + b.sigma_ms * b.xyz[2]]
            })
        };
        let dot = |a: [f64; 3], b: [f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
        assert!(dot(sum(Form::QrsVentA), sum(Form::TVentA)) < 0.0);
        assert!(dot(sum(Form::QrsVentB), sum(Form::TVentB)) < 0.0);
        assert!(dot(sum(Form::QrsNarrow), sum(Form::TNarrow)) > 0.0);
    }
}
