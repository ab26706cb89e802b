//! Small things that every output shares: RR intervals, numbers and times in print, class colours.

use beatledger_core::model::{BeatClass, Figure, FigureValue, LocalTime, Recording, Span};
use beatledger_core::session::Snapshot;

/// The interval from beat `i - 1` to beat `i`, ms; `None` at the first beat and across unreadable time.
pub fn rr_before_ms(snapshot: &Snapshot, i: usize) -> Option<f64> {
    let (before, beat) = (snapshot.beats.get(i.checked_sub(1)?)?, snapshot.beats.get(i)?);
    let between = Span::new(before.sample, beat.sample);
    let hole = snapshot.unreadable.partition_point(|s| s.end <= between.start);
    let broken = snapshot.unreadable.get(hole).is_some_and(|h| h.touches(between));
    (!broken).then(|| snapshot.recording.rate.ms_from_samples(between.len()))
}

/// Colour of a class, red green blue: the Okabe-Ito set in the order S V F Q; normal beats take the ink.
pub fn class_rgb(class: BeatClass) -> (u8, u8, u8) {
    match class {
        BeatClass::N => (0x1a, 0x1a, 0x1a),
        BeatClass::S => (0x00, 0x72, 0xb2),
        BeatClass::V => (0xd5, 0x5e, 0x00),
        BeatClass::F => (0x00, 0x9e, 0x73),
        BeatClass::Q => (0xcc, 0x79, 0xa7),
    }
}

/// A number with as few decimals as it needs, three at most.
pub fn short_number(x: f64) -> String {
    let text = format!("{x:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A whole number with thin groups of three, such as `104 233`.
pub fn grouped(n: u64) -> String {
    let digits = n.to_string();
    let mut out = String::new();
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) && digits.len() > 4 {
            out.push('\u{00a0}');
        }
        out.push(c);
    }
    out
}

/// A duration in words: `4.2 s`, `3 min 05 s`, `23 h 12 min`.
pub fn duration_text(seconds: f64) -> String {
    if !seconds.is_finite() || seconds < 0.0 {
        return "unknown".to_owned();
    }
    let whole = seconds.round() as u64;
    match whole {
        0..60 => format!("{seconds:.1} s"),
        60..3600 => format!("{} min {:02} s", whole / 60, whole % 60),
        _ => {
            let minutes = (seconds / 60.0).round() as u64;
            format!("{} h {:02} min", minutes / 60, minutes % 60)
        }
    }
}

/// How much is said of a figure that could not be computed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// The whole reason.
    Said,
    /// That there is one: for a place where the reason stands nearby.
    Short,
}

/// The value of a figure in print with its unit and, where there is none, the reason.
pub fn figure_text(figure: &Figure, recording: &Recording) -> String {
    figure_words(figure, recording, Reason::Said)
}

/// The value of a figure in print with its unit and what is doubtful about it: the one wording for window, report and terminal.
/// Hours and long minutes stay readable.
pub fn figure_words(figure: &Figure, recording: &Recording, reason: Reason) -> String {
    let value = value_words(figure, recording, reason);
    match doubt_words(figure) {
        Some(doubt) if reason == Reason::Said => format!("{value} ({doubt})"),
        _ => match figure.doubt.as_ref().map_or(0, |d| d.doubtful) {
            0 => value,
            doubtful => format!("{value} ({} doubtful)", grouped(doubtful)),
        },
    }
}

/// What is doubtful about a figure, such as `of them 12 doubtful (380 to 410)`; `None` where nothing is.
pub fn doubt_words(figure: &Figure) -> Option<String> {
    let doubt = figure.doubt.as_ref()?;
    let number = |x: f64| match figure.value {
        FigureValue::Count(_) => grouped(x.round().max(0.0) as u64),
        _ => format!("{x:.*}", usize::from(figure.decimals())),
    };
    let doubtful = match figure.value {
        FigureValue::Count(_) if doubt.doubtful > 0 => {
            Some(format!("of them {} doubtful", grouped(doubt.doubtful)))
        }
        _ => None,
    };
    let range = doubt.range.map(|(low, high)| format!("{} to {}", number(low), number(high)));
    let reason = Some(doubt.reason.clone()).filter(|r| !r.is_empty());
    let words: Vec<String> = doubtful.into_iter().chain(range).chain(reason).collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// The value of a figure in print with its unit, without what is doubtful about it.
pub fn value_words(figure: &Figure, recording: &Recording, reason: Reason) -> String {
    let number = |text: String| match figure.unit() {
        "" => text,
        unit => format!("{text}\u{00a0}{unit}"),
    };
    match (&figure.value, reason) {
        (FigureValue::Count(n), _) => number(grouped(*n)),
        (FigureValue::Number(x), _) if x.is_finite() => match figure.unit() {
            "h" => duration_text(x * 3600.0),
            "min" if *x >= 1.0 => duration_text(x * 60.0),
            _ => number(format!("{x:.*}", usize::from(figure.decimals()))),
        },
        (FigureValue::Place(sample), _) => place_text(recording, *sample),
        (FigureValue::NotComputable(why), Reason::Short) if why == FigureValue::AWAITED => "…".to_owned(),
        (FigureValue::Number(_) | FigureValue::NotComputable(_), Reason::Short) => {
            "not computable".to_owned()
        }
        (FigureValue::Number(_), Reason::Said) => "not computable: no finite value".to_owned(),
        (FigureValue::NotComputable(why), Reason::Said) => format!("not computable: {why}"),
    }
}

/// Clock at `sample`, with month and day before it where the recording lasts longer than a day.
pub fn place_text(recording: &Recording, sample: i64) -> String {
    match recording.local_time(sample).filter(|_| recording.hours() > 24.0) {
        Some(time) => format!("{} {}", date_text(time).get(5..).unwrap_or_default(), time.clock()),
        None => recording.clock(sample),
    }
}

/// `HH:MM:SS.mmm` at `sample`; elapsed time with a leading `+` when the start is unknown.
pub fn clock_ms(recording: &Recording, sample: i64) -> String {
    match recording.local_time(sample) {
        Some(t) => t.clock_ms(),
        None => {
            let ms = recording.rate.ms_from_samples(sample).round() as i64;
            let s = ms.div_euclid(1000);
            format!("+{:02}:{:02}:{:02}.{:03}", s / 3600, s / 60 % 60, s % 60, ms.rem_euclid(1000))
        }
    }
}

/// The clock of a list: ISO 8601 local time where the recording lasts longer than a day, else `HH:MM:SS.mmm`.
pub fn list_clock(recording: &Recording, sample: i64) -> String {
    match recording.local_time(sample).filter(|_| recording.hours() > 24.0) {
        Some(time) => iso_local(time),
        None => clock_ms(recording, sample),
    }
}

/// The clock of a sentence or a button: `HH:MM:SS`, with the date before it where the recording lasts longer than a day.
pub fn day_clock(recording: &Recording, sample: i64) -> String {
    match recording.local_time(sample).filter(|_| recording.hours() > 24.0) {
        Some(time) => format!("{} {}", date_text(time), time.clock()),
        None => recording.clock(sample),
    }
}

/// `YYYY-MM-DD` of a local time.
pub fn date_text(time: LocalTime) -> String {
    chrono::DateTime::from_timestamp_millis(time.0)
        .map_or_else(|| "unknown date".to_owned(), |t| t.format("%Y-%m-%d").to_string())
}

/// `YYYY-MM-DDTHH:MM:SS.mmm` of a local time; no zone, as none is known.
pub fn iso_local(time: LocalTime) -> String {
    format!("{}T{}", date_text(time), time.clock_ms())
}

/// Text safe inside XML, control characters left out.
pub fn escape_xml(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}
