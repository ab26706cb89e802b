//! The noise stress test: records 118 and 119 with recorded electrode motion at 24 to -6 dB.

use beatledger_core::model::{Recording, Span};
use beatledger_evaluate::noise::{LEVELS_DB, mix, stress_table, stress_test};
use beatledger_evaluate::{Leads, Wanted, reference};
use beatledger_score::{Matrix, Score};
use beatledger_testkit::data;

use super::floors::{hold, hold_values};
use super::{cases, scores};

#[test]
fn beats_under_electrode_motion_do_not_fall_below_their_floors() {
    stress("noise", Leads::All);
}

#[test]
fn beats_of_one_lead_under_electrode_motion_do_not_fall_below_their_floors() {
    stress("noise_lead_1", Leads::Only(1));
}

fn stress(set: &str, leads: Leads) {
    let Some(folder) = data(&format!("QRS accuracy under noise, MIT-BIH Noise Stress Test ({set})")) else {
        return;
    };
    let wanted = Wanted { leads, ..Wanted::default() };
    let all = stress_test(&folder.join("mitdb"), &folder.join("nstdb/em.hea"), &wanted).unwrap();
    println!("{set}\n{}", stress_table(&all));
    let mut figures = Vec::new();
    for level in LEVELS_DB {
        let (mut whole, mut noisy) = (Matrix::default(), Matrix::default());
        for one in all.iter().filter(|n| n.level_db == level) {
            whole.merge(&one.whole);
            noisy.merge(&one.noisy);
        }
        figures.push((format!("qrs_pp_{level}db_percent"), whole.figures().qpp_percent));
        // At 0 dB and below a beat is missed where time is declared unreadable, and rightly so: sensitivity is
        // no figure to hold there. At -6 dB there may be no beat at all in the noise.
        if level >= 0 {
            figures.push((format!("noisy_qrs_pp_{level}db_percent"), noisy.figures().qpp_percent));
        }
        if level >= 6 {
            figures.push((format!("qrs_se_{level}db_percent"), whole.figures().qse_percent));
        }
    }
    hold_values(set, &figures);
}

#[test]
fn the_published_noisy_record_does_not_fall_below_its_floors() {
    let Some(folder) = data("QRS accuracy on record 118e_6 of the MIT-BIH Noise Stress Test") else { return };
    let wanted = Wanted { records: vec!["118e_6".to_owned()], ..Wanted::default() };
    let all = Score::gross(&scores(&cases(&folder.join("nstdb"), &wanted)));
    hold("118e_6", &all, &["qrs_se_percent", "qrs_pp_percent"]);
}

/// What lies in `of` more than in `clean`, ADC units about their mean, over one noisy stretch.
fn added(of: &Recording, clean: &Recording, lead: usize, span: Span) -> Vec<f64> {
    let read = |recording: &Recording| {
        let mut raw = vec![0i32; span.len() as usize];
        recording.leads[lead].samples.read(span.start as usize, &mut raw);
        raw
    };
    let difference: Vec<f64> =
        read(of).iter().zip(read(clean)).map(|(a, b)| f64::from(*a) - f64::from(b)).collect();
    let mean = difference.iter().sum::<f64>() / difference.len() as f64;
    difference.iter().map(|d| d - mean).collect()
}

/// Record 118e_6 is what the database's own tool made of 118 and em at -6 dB: our mix of the same two has the
/// same shape, and its gain is within 2 % (0.17 dB) of that one's.
#[test]
fn our_mix_at_minus_6_db_is_the_published_record() {
    let Some(folder) = data("the mixing of noise against record 118e_6") else { return };
    let open = |name: &str| beatledger_formats::open(folder.join(name)).unwrap();
    let (clean, noise, published) = (open("mitdb/118.hea"), open("nstdb/em.hea"), open("nstdb/118e_6.hea"));
    let beats = reference(&folder.join("mitdb/118.atr"), clean.samples).unwrap();
    let ours = mix(&clean, &beats, &noise, -6.0).unwrap();
    // The first two noisy minutes.
    let span = Span::new(clean.rate.samples_from_seconds(301.0), clean.rate.samples_from_seconds(419.0));
    for lead in 0..2 {
        let (theirs, ours) = (added(&published, &clean, lead, span), added(&ours, &clean, lead, span));
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let alike = dot(&theirs, &ours) / (dot(&theirs, &theirs) * dot(&ours, &ours)).sqrt();
        let gain = dot(&theirs, &ours) / dot(&theirs, &theirs);
        println!("lead {lead}: correlation {alike:.5}, gain {gain:.4} of the published");
        assert!(alike > 0.999, "the noise added to lead {lead} is another one: {alike}");
        assert!((gain - 1.0).abs() < 0.02, "lead {lead} has {gain:.4} times the noise");
    }
}
