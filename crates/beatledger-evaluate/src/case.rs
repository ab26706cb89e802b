//! One record, ready to be compared.

use std::path::Path;
use std::sync::Arc;

use anyhow::Context as _;
use beatledger_core::model::{Event, Rate, Summary};
use beatledger_formats::wfdb::{self, Annotation, Mapping};
use beatledger_score::{Annotations, Rules, Score};

use crate::annotations::annotations;

/// Reference and test under one mapping of symbols to classes.
#[derive(Clone, Debug, Default)]
pub struct Sides {
    /// What the reference says.
    pub reference: Annotations,
    /// What the program says.
    pub test: Annotations,
}

/// Events and figures as the program says them, each with its certainty.
#[derive(Clone, Debug)]
pub struct Said {
    /// Events, sorted by start.
    pub events: Arc<Vec<Event>>,
    /// Figures.
    pub summary: Arc<Summary>,
}

/// One record with both sides, under both mappings.
#[derive(Clone, Debug)]
pub struct Case {
    /// Name of the record.
    pub record: String,
    /// Samples per second.
    pub rate: Rate,
    /// Length.
    pub samples: i64,
    /// Whether beats were looked for; else the reference beats went in and only rhythm is compared.
    pub from_tracing: bool,
    /// Confidence of the program in the class of each test beat; empty where it has none.
    pub confidence: Vec<f32>,
    /// What is said of the record; `None` where only annotations were compared.
    pub said: Option<Said>,
    /// Sides with escape beats as N.
    pub literature: Sides,
    /// Sides with escape beats as S.
    pub standard: Sides,
}

impl Case {
    /// The sides under a mapping.
    pub fn sides(&self, mapping: Mapping) -> &Sides {
        match mapping {
            Mapping::Literature => &self.literature,
            Mapping::Ec57 => &self.standard,
        }
    }

    /// All comparisons.
    pub fn score(&self, mapping: Mapping, rules: &Rules) -> Score {
        let Sides { reference, test } = self.sides(mapping);
        Score::of(&self.record, self.rate, self.samples, reference, test, rules)
    }
}

/// Two annotation files; the rate stands in the header beside the reference.
///
/// # Errors
/// When a file or that header cannot be read.
pub fn case_of_files(reference: &Path, test: &Path) -> anyhow::Result<Case> {
    let header = reference.with_extension("hea");
    let header = wfdb::read_header(&header)
        .with_context(|| format!("the rate stands in the header {}", header.display()))?;
    let read = |path: &Path| -> anyhow::Result<Vec<Annotation>> {
        Ok(wfdb::read_annotation_file(path, Some(header.rate))?.annotations)
    };
    let (of_reference, of_test) = (read(reference)?, read(test)?);
    let samples = length(header.samples, &of_reference).max(length(None, &of_test));
    let sides = |mapping| Sides {
        reference: annotations(&of_reference, mapping, samples),
        test: annotations(&of_test, mapping, samples),
    };
    Ok(Case {
        record: stem(reference),
        rate: header.rate,
        samples,
        from_tracing: true,
        confidence: Vec::new(),
        said: None,
        literature: sides(Mapping::Literature),
        standard: sides(Mapping::Ec57),
    })
}

/// Samples of a record: as its header says, or up to the last annotation.
pub(crate) fn length(stated: Option<i64>, all: &[Annotation]) -> i64 {
    stated.unwrap_or_else(|| all.last().map_or(0, |a| a.sample + 1))
}

/// Name of a file without its ending.
pub(crate) fn stem(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}
