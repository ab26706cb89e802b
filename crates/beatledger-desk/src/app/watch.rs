//! What has stood on the screen long enough to count as shown.

use beatledger_core::model::Span;

/// Stretches that are on the screen, since when, and those that were there long enough and are in no entry yet.
#[derive(Default)]
pub struct Watch {
    on: Vec<(Span, f64)>,
    waiting: Vec<Span>,
}

impl Watch {
    /// Takes in what the screen shows at `now_s`. Each stretch must stay for `least_s` of it; those of `already` are left out.
    /// Gives the time until the next one counts, s.
    pub fn see(
        &mut self,
        shown: &[Span],
        already: &[Span],
        now_s: f64,
        least_s: impl Fn(Span) -> f64,
    ) -> Option<f64> {
        self.on.retain(|(span, _)| shown.contains(span));
        let mut soonest: Option<f64> = None;
        for span in shown {
            let since = self.on.iter().find(|(on, _)| on == span).map(|(_, since)| *since);
            if since.is_none() {
                self.on.push((*span, now_s));
            }
            let is_in = |spans: &[Span]| span.covered_by(spans) == span.len();
            if is_in(already) || is_in(&self.waiting) {
                continue;
            }
            let left = least_s(*span) - (now_s - since.unwrap_or(now_s));
            if left <= 0.0 {
                self.count(*span);
            } else {
                soonest = Some(soonest.map_or(left, |s| s.min(left)));
            }
        }
        soonest
    }

    /// Counts a stretch as shown, however long it was on the screen.
    pub fn count(&mut self, span: Span) {
        self.waiting.push(span);
        self.waiting = Span::merged(std::mem::take(&mut self.waiting), 0);
    }

    /// True when something waits for an entry.
    pub fn has_new(&self) -> bool {
        !self.waiting.is_empty()
    }

    /// What was shown and is in no entry yet.
    pub fn take(&mut self) -> Vec<Span> {
        std::mem::take(&mut self.waiting)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn watched(steps: &[(f64, &[Span])]) -> Vec<Span> {
        let mut watch = Watch::default();
        for (now_s, shown) in steps {
            watch.see(shown, &[], *now_s, |_| 1.0);
        }
        watch.take()
    }

    #[test]
    fn what_passes_by_is_not_shown_and_what_stays_is() {
        let (a, b) = (Span::new(0, 10), Span::new(20, 30));
        assert_eq!(watched(&[(0.0, &[a]), (0.5, &[b]), (1.2, &[a])]), []);
        assert_eq!(watched(&[(0.0, &[a, b]), (0.6, &[b]), (1.0, &[b])]), [b]);
    }

    #[test]
    fn what_was_shown_before_is_not_counted_again() {
        let mut watch = Watch::default();
        let a = Span::new(0, 10);
        assert_eq!(watch.see(&[a], &[], 0.0, |_| 2.0), Some(2.0));
        assert_eq!(watch.see(&[a], &[], 0.5, |_| 2.0), Some(1.5));
        assert_eq!(watch.see(&[a], &[Span::new(0, 40)], 9.0, |_| 2.0), None);
        assert!(!watch.has_new());
    }
}
