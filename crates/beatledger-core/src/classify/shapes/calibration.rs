//! Every tuned number of the shapes: name with unit, value, meaning, and how it was chosen.

/// A shape is read at this many steps (design choice: 144 ms before to 168 ms after the fiducial hold a wide
/// QRS).
pub const STEPS: usize = 40;
/// Steps of a shape lie this far apart, ms (design choice).
pub const STEP_MS: f64 = 8.0;
/// This many steps of a shape lie before the fiducial (design choice).
pub const STEPS_BEFORE: usize = 18;
/// Two shapes are laid over each other with at most this shift, steps (design choice).
pub const SHIFT: usize = 3;
/// A comparison uses this many steps, which leaves room for the shift at either end (follows from the two
/// above).
pub const CORE: usize = STEPS - 2 * SHIFT;
/// Shifts are tried in this order, no shift first, so that ties go to the smallest (design choice).
pub const SHIFT_ORDER: [usize; 2 * SHIFT + 1] = [3, 2, 4, 1, 5, 0, 6];

/// The stretch in which a P wave stands has this many steps of [`STEP_MS`] (design choice: to 80 ms before
/// the fiducial).
pub const P_STEPS: usize = 21;
/// The stretch in which a P wave stands begins this many steps before the fiducial (design choice: 240 ms).
pub const P_STEPS_BEFORE: usize = 30;
/// The stretch in which a T wave stands has this many steps of [`T_STEP_MS`] (design choice: to 416 ms after
/// the fiducial).
pub const T_STEPS: usize = 7;
/// Steps of the stretch in which a T wave stands lie this far apart, ms (design choice).
pub const T_STEP_MS: f64 = 48.0;
/// The stretch in which a T wave stands begins this long after the fiducial, ms (design choice).
pub const T_FROM_MS: f64 = 128.0;

/// Shapes are read in blocks of this many beats, whatever the number of threads (design choice).
pub const BEATS_A_BLOCK: usize = 128;
/// Beats further apart than this many times the reach of their means are read by themselves (design choice).
pub const APART_REACHES: i64 = 4;
/// A lower mains frequency than this is taken for this one, Hz (design choice).
pub const LEAST_MAINS_HZ: f64 = 40.0;
/// With the mains filter off, means cover the period of this frequency, Hz (design choice).
pub const MAINS_OFF_HZ: f64 = 50.0;
/// A shape counts in full when no sample is missing this close to the fiducial, s (design choice).
pub const WHOLE_S: f64 = 0.28;

/// A lead weighs this much at a beat where samples are missing (design choice).
pub const WEIGHT_GAPS: f32 = 0.01;
/// A lead weighs this much in a noisy second, against 1 in a good one (design choice).
pub const WEIGHT_NOISY: f32 = 0.3;
/// A lead weighs this much in a second in which beats cannot be told (design choice).
pub const WEIGHT_UNREADABLE: f32 = 0.02;
/// The usual energy of a lead is the median over about this many beats, evenly taken (design choice).
pub const LEVELLED_BEATS: usize = 400;
/// Energy and height below this value are taken for this value, mV squared and mV (guard, no tuning).
pub const LEAST_ENERGY: f32 = 1e-6;

/// One lead may be left out only with at least this many leads (design choice).
pub const LEADS_TO_LEAVE_ONE: usize = 3;
/// One lead may be left out when the distance over all others is below this value (design choice).
pub const OTHER_LEADS_CLOSE: f32 = 0.05;
/// One lead may be left out when its own distance is at least this value (design choice).
pub const ODD_LEAD: f32 = 0.5;
/// The distance is this much more when one lead was left out (design choice).
pub const LEFT_OUT_ADDS: f32 = 0.02;
/// A lead can be read at a beat when its weighted energy exceeds this value; near 2 on a clear lead (design
/// choice).
pub const READABLE_ENERGY: f32 = 0.1;

/// A beat nearer than this to the mean of a cluster belongs to it (design choice).
pub const SAME_CLUSTER: f32 = 0.14;
/// A beat nearer than this to the first cluster looked at belongs to it without looking further (design
/// choice).
pub const SURELY_SAME_CLUSTER: f32 = 0.04;
/// A cluster further than this without a shift is not tried with one (design choice: a shift mends small
/// misalignment).
pub const TOO_FAR_TO_SHIFT: f32 = 0.9;
/// Two clusters whose means are nearer than this are merged (design choice).
pub const MERGED_CLUSTERS: f32 = 0.09;
/// While beats are taken in, there are at most this many clusters (design choice).
pub const MOST_CLUSTERS: usize = 240;
/// The mean of a cluster is exact up to this many members and moves slowly from then on (design choice).
pub const EXACT_MEAN_MEMBERS: u32 = 64;

/// A blend holds at least this part of both shapes (design choice).
pub const LEAST_PART: f32 = 0.22;
/// A blend holds at most this part of either shape (design choice).
pub const MOST_PART: f32 = 0.9;
/// A blend leaves less than this share of the energy unexplained (design choice).
pub const UNEXPLAINED: f32 = 0.08;
/// The better of the two shapes alone leaves more than this many times what the blend leaves (design choice).
pub const BLEND_BETTER: f32 = 2.5;
/// What a blend leaves is taken for at least this share when it is compared (design choice).
pub const LEAST_UNEXPLAINED: f32 = 0.01;
/// Two shapes are too alike to be told apart in a blend below this relative determinant (guard, no tuning).
pub const LEAST_DETERMINANT: f32 = 1e-3;
