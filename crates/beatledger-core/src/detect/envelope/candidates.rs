//! Places that may be beats, and what is known of each.

/// A place that may be a beat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// Step of the working rate.
    pub step: i64,
    /// Height of the common envelope; the usual beat nearby is 1.
    pub height: f32,
    /// The usual height between beats nearby, in usual beats.
    pub background: f32,
    /// Height of the second differences alone, in usual beats: small for T waves.
    pub sharpness: f32,
    /// How clearly beats stand out nearby on the best lead, 0 to 1.
    pub clearness: f32,
}

/// What the leads show at a candidate, one by one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeadMarks {
    /// Height on the lead that shows it second best among those that show beats, in usual beats.
    /// It is 1 where no second lead was compared.
    pub second_height: f32,
    /// Change of level from before to after the complex on the lead that shows it best, in usual beats.
    pub level_change: f32,
    /// Whether a second lead was compared.
    pub is_compared: bool,
}

impl Default for LeadMarks {
    fn default() -> Self {
        Self { second_height: 1.0, level_change: 0.0, is_compared: false }
    }
}

/// All candidates of a recording, sorted, with their shapes, and measures of each lead by second.
#[derive(Clone, Debug, Default)]
pub struct Candidates {
    /// The places.
    pub places: Vec<Candidate>,
    /// What the leads show at each place.
    pub marks: Vec<LeadMarks>,
    /// Shapes one after another, `shape_len` values each: the banded leads side by side.
    pub shapes: Vec<i8>,
    /// Values a shape.
    pub shape_len: usize,
    /// Values a lead within a shape.
    pub lead_len: usize,
    /// How clearly beats stand out, 0 to 1, by lead and second.
    pub clearness: Vec<Vec<f32>>,
    /// Peak to peak of the samples as they are, ADC units, by lead and second.
    pub size: Vec<Vec<f32>>,
    /// Activity of the baseline between beats, ADC units, by lead and second.
    pub activity: Vec<Vec<f32>>,
}

impl Candidates {
    /// No candidates yet of so many leads, with room for so many seconds.
    pub fn new(leads: usize, lead_len: usize, seconds: usize) -> Self {
        let empty = vec![Vec::with_capacity(seconds); leads];
        let shape_len = lead_len * leads;
        let (size, activity) = (empty.clone(), empty.clone());
        Self { shape_len, lead_len, clearness: empty, size, activity, ..Self::default() }
    }

    /// The shape of candidate `i`.
    pub fn shape(&self, i: usize) -> &[i8] {
        &self.shapes[i * self.shape_len..(i + 1) * self.shape_len]
    }

    /// Takes out the candidates at these rising positions.
    pub fn remove(&mut self, places: &[usize]) {
        let goes = |i: usize| places.binary_search(&i).is_ok();
        let mut i = 0;
        self.places.retain(|_| (!goes(i), i += 1).0);
        i = 0;
        self.marks.retain(|_| (!goes(i), i += 1).0);
        let (mut value, length) = (0, self.shape_len.max(1));
        self.shapes.retain(|_| (!goes(value / length), value += 1).0);
    }

    /// Appends the candidates and seconds of the next stretch.
    pub fn append(&mut self, next: Self) {
        self.places.extend(next.places);
        self.marks.extend(next.marks);
        self.shapes.extend(next.shapes);
        let measures = [
            (&mut self.clearness, next.clearness),
            (&mut self.size, next.size),
            (&mut self.activity, next.activity),
        ];
        for (all, next) in measures {
            all.iter_mut().zip(next).for_each(|(all, next)| all.extend(next));
        }
    }
}
