//! What the normal-to-normal intervals of a day give, before figures are drawn from it.

use crate::measure::hrv::{Series, Window};
use crate::measure::nonlinear::{self, LONG_BOXES, SHORT_BOXES};
use crate::measure::spectrum::{self, Bands, WindowBands};
use crate::measure::variability::{self, Variability};
use crate::measure::{Day, burden, turbulence};
use crate::model::Span;

/// What one series of NN intervals gives, or why nothing is told.
#[derive(Default)]
pub struct Normal {
    /// Share of the RR intervals that are normal to normal, %; `None` without intervals.
    pub share_percent: Option<f64>,
    /// Why everything is withheld.
    pub withheld: Option<String>,
    /// Why what asks for a whole day is withheld.
    pub too_short: Option<String>,
    /// The values; empty where everything is withheld.
    pub found: Measured,
}

/// Everything that one series of NN intervals gives.
#[derive(Default)]
pub struct Measured {
    /// Time domain.
    pub time: Variability,
    /// Base of the histogram, ms.
    pub tinn_ms: Option<f64>,
    /// SD1 and SD2, ms.
    pub poincare: Option<(f64, f64)>,
    /// Scaling exponent of short boxes.
    pub alpha1: Option<f64>,
    /// Scaling exponent of long boxes.
    pub alpha2: Option<f64>,
    /// Mean sample entropy.
    pub entropy: Option<f64>,
    /// Mean spectrum of the five-minute windows.
    pub windows: WindowBands,
    /// The same by evenly laid intervals.
    pub even: WindowBands,
    /// Those windows.
    pub places: Vec<Span>,
    /// Spectrum of the first 24 hours.
    pub day: Option<Bands>,
    /// The same by evenly laid intervals.
    pub even_day: Option<Bands>,
    /// Deceleration capacity, ms.
    pub deceleration_ms: Option<f64>,
}

impl Normal {
    /// What is known before anything is measured: whether there is a whole day.
    pub fn first(day: &Day<'_>) -> Self {
        Self { too_short: too_short(day), ..Self::default() }
    }

    /// Measures a series.
    pub fn new(day: &Day<'_>, series: &Series) -> Self {
        let reading = day.reading();
        let (count, intervals) =
            (series.nn.len(), (1..day.columns.len()).filter(|i| day.columns.joined(*i)).count());
        let readable = burden::readable_time(day).readable_samples;
        let in_af = burden::fibrillation_samples(day, reading.recording.whole());
        let withheld = variability::withheld(day, count, intervals, in_af as f64 / readable.max(1) as f64);
        let too_short = too_short(day);
        let found = match withheld {
            Some(_) => Measured::default(),
            None => Measured::new(day, series, too_short.is_none()),
        };
        Self {
            share_percent: (intervals > 0).then(|| 100.0 * count as f64 / intervals as f64),
            withheld,
            too_short,
            found,
        }
    }
}

fn too_short(day: &Day<'_>) -> Option<String> {
    let readable = burden::readable_time(day).readable_samples;
    let hours = day.reading().recording.rate.seconds_from_samples(readable) / 3600.0;
    let asked = day.reading().settings.hrv_min_hours;
    (hours < asked).then(|| format!("{hours:.1} h could be read, {asked:.0} h asked"))
}

impl Measured {
    /// The families side by side: none looks at another.
    fn new(day: &Day<'_>, series: &Series, whole_day: bool) -> Self {
        let (recording, settings) = (day.reading().recording, day.reading().settings);
        let nn = series.nn.as_slice();
        let choice = variability::Choice::of(settings);
        let detrend = settings.spectrum_detrend >= 0.5;
        let in_time = || {
            (
                variability::variability_by(nn, choice),
                nonlinear::poincare(nn),
                nonlinear::histogram_base_ms(nn, choice.bin_ms),
                turbulence::deceleration_capacity_ms(nn, settings.dc_step_percent),
            )
        };
        let of_day = || match whole_day {
            true => (spectrum::day_bands(nn, detrend), spectrum::resampled_day(nn, detrend)),
            false => (None, None),
        };
        let slopes = || {
            let ms: Vec<f64> = nn.iter().map(|nn| nn.ms).collect();
            (nonlinear::fluctuation_slope(&ms, &SHORT_BOXES), nonlinear::fluctuation_slope(&ms, &LONG_BOXES))
        };
        let ((day, even_day), (time, (alpha1, alpha2))) =
            rayon::join(of_day, || rayon::join(in_time, slopes));
        let (time, poincare, tinn_ms, deceleration_ms) = time;
        let bands = |of: fn(&Window) -> Bands| {
            spectrum::mean_bands(&series.windows.iter().map(of).collect::<Vec<_>>())
        };
        let at = |segment: usize| recording.rate.samples_from_seconds(segment as f64 * spectrum::WINDOW_S);
        let place = |segment| Span::new(at(segment), at(segment + 1)).overlap(recording.whole());
        Self {
            time,
            tinn_ms,
            poincare,
            alpha1,
            alpha2,
            entropy: series.entropy().0,
            windows: bands(|w| w.bands),
            even: bands(|w| w.even),
            places: series.windows.iter().map(|w| place(w.segment)).collect(),
            day,
            even_day,
            deceleration_ms,
        }
    }
}
