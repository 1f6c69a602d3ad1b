//! A supply as a tree of points: flat arrays, parents before children, loads summed up at each point.

/// A load as the solver sees it: what it takes at `v` volts is `siemens * v + amperes + watts / v`.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Draw {
    /// Of resistances.
    pub siemens: f64,
    /// Of constant currents.
    pub amperes: f64,
    /// Of constant powers.
    pub watts: f64,
}

impl Draw {
    /// What it takes at `volts`, in ampere.
    #[must_use]
    pub fn at(self, volts: f64) -> f64 {
        let power = if self.watts > 0.0 { self.watts / volts } else { 0.0 };
        self.siemens * volts + self.amperes + power
    }

    /// So many times as much.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self { siemens: self.siemens * factor, amperes: self.amperes * factor, watts: self.watts * factor }
    }
}

impl std::ops::AddAssign for Draw {
    fn add_assign(&mut self, other: Self) {
        self.siemens += other.siemens;
        self.amperes += other.amperes;
        self.watts += other.watts;
    }
}

/// A tree of supply points in an arena. Point 0 is the source's own terminals; what leads into it is the
/// source's own resistance. A point's parent always stands before it, so a sweep needs no stack.
#[derive(Clone, PartialEq, Debug)]
pub struct Tree {
    pub(crate) parent: Vec<u32>,
    pub(crate) ohms: Vec<f64>,
    pub(crate) lost: Vec<f64>,
    pub(crate) draw: Vec<Draw>,
}

impl Tree {
    /// A source with its own resistance in ohm, and nothing on it.
    #[must_use]
    pub fn new(source_ohms: f64) -> Self {
        Self { parent: vec![0], ohms: vec![source_ohms], lost: vec![0.0], draw: vec![Draw::default()] }
    }

    /// Adds a point at the end of a run of so many ohms, out and back; gives its number.
    ///
    /// # Panics
    /// When the parent does not stand in the tree yet: a tree cannot be made with a loop in it.
    pub fn point(&mut self, parent: usize, ohms: f64) -> usize {
        self.point_with_drop(parent, ohms, 0.0)
    }

    /// As [`Tree::point`], with volts that are lost on the way whatever the current (a regulator, a diode).
    ///
    /// # Panics
    /// As [`Tree::point`].
    pub fn point_with_drop(&mut self, parent: usize, ohms: f64, lost: f64) -> usize {
        assert!(parent < self.parent.len(), "a parent stands before its children");
        self.parent.push(u32::try_from(parent).expect("a job has fewer points than 2^32"));
        self.ohms.push(ohms);
        self.lost.push(lost);
        self.draw.push(Draw::default());
        self.parent.len() - 1
    }

    /// How many points, the source's terminals included.
    #[must_use]
    pub fn len(&self) -> usize {
        self.parent.len()
    }

    /// Never: the source's terminals are always there.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        false
    }

    /// Where a point's run comes from; its own number for the source's terminals.
    #[must_use]
    pub fn parent(&self, point: usize) -> usize {
        self.parent[point] as usize
    }

    /// The run into a point, in ohm out and back.
    #[must_use]
    pub fn ohms(&self, point: usize) -> f64 {
        self.ohms[point]
    }

    /// Changes the run into a point.
    pub fn set_ohms(&mut self, point: usize, ohms: f64) {
        self.ohms[point] = ohms;
    }

    /// What is drawn at a point.
    #[must_use]
    pub fn draw(&self, point: usize) -> Draw {
        self.draw[point]
    }

    /// Adds a load at a point.
    pub fn load(&mut self, point: usize, draw: Draw) {
        self.draw[point] += draw;
    }

    /// Takes every load off.
    pub fn unload(&mut self) {
        self.draw.fill(Draw::default());
    }
}
