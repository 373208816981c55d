//! What was typed, step by step, so that every step can be taken back.

/// Steps kept at most; the oldest go first.
const MOST_STEPS: usize = 500;

/// One text of the project file, and what led to it.
#[derive(Debug, Clone)]
struct Step {
    text: String,
    words: String,
}

/// All texts of the project file since it was opened.
#[derive(Debug, Clone)]
pub(super) struct History {
    steps: Vec<Step>,
    at: usize,
}

impl History {
    /// Begins with a text that nothing led to.
    pub(super) fn new(text: String) -> Self {
        let words = String::new();
        Self {
            steps: vec![Step { text, words }],
            at: 0,
        }
    }

    /// The text as it is now.
    pub(super) fn text(&self) -> &str {
        &self.steps[self.at].text
    }

    /// Takes a step; `words` are what it is called where it can be taken back. What was taken back before is gone.
    pub(super) fn step(&mut self, words: &str, text: String) {
        self.steps.truncate(self.at + 1);
        let words = words.to_owned();
        self.steps.push(Step { text, words });
        if self.steps.len() > MOST_STEPS {
            self.steps.remove(0);
        }
        self.at = self.steps.len() - 1;
    }

    /// Takes the last step back; `false` if there is none.
    pub(super) fn undo(&mut self) -> bool {
        let can = self.at > 0;
        self.at = self.at.saturating_sub(1);
        can
    }

    /// Takes again what was taken back; `false` if there is nothing.
    pub(super) fn redo(&mut self) -> bool {
        let can = self.at + 1 < self.steps.len();
        if can {
            self.at += 1;
        }
        can
    }

    /// What would be taken back.
    pub(super) fn can_undo(&self) -> Option<&str> {
        (self.at > 0).then(|| self.steps[self.at].words.as_str())
    }

    /// What would be taken again.
    pub(super) fn can_redo(&self) -> Option<&str> {
        self.steps.get(self.at + 1).map(|step| step.words.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_taken_back_and_again_under_their_names() {
        let mut history = History::new("a".into());
        assert!(!history.undo() && !history.redo());
        history.step("Width", "b".into());
        history.step("Height", "c".into());
        assert_eq!(
            (history.can_undo(), history.can_redo()),
            (Some("Height"), None)
        );
        assert!(history.undo());
        assert_eq!(history.text(), "b");
        assert_eq!(
            (history.can_undo(), history.can_redo()),
            (Some("Width"), Some("Height"))
        );
        assert!(history.redo());
        assert_eq!(history.text(), "c");
    }

    #[test]
    fn a_new_step_ends_what_was_taken_back() {
        let mut history = History::new("a".into());
        history.step("Width", "b".into());
        history.undo();
        history.step("Paper", "c".into());
        assert!(!history.redo());
        assert_eq!((history.text(), history.can_undo()), ("c", Some("Paper")));
    }

    #[test]
    fn the_oldest_steps_are_forgotten_when_there_are_very_many() {
        let mut history = History::new("0".into());
        for i in 1..=MOST_STEPS * 2 {
            history.step("Copies", i.to_string());
        }
        let mut back = 0;
        while history.undo() {
            back += 1;
        }
        assert_eq!(back, MOST_STEPS - 1);
        assert_eq!(history.text(), (MOST_STEPS + 1).to_string());
    }
}
