//! Which supply point hangs on which: runs, outputs and modules as one forest.

use std::collections::{BTreeMap, BTreeSet};

use crate::model::{Job, Module};

/// Every supply point of a job with the one that it is fed from.
///
/// A run ends at a point and is fed from where it begins; an output (`P1.bell`, `M1.S1`) from its `fed_from`, else
/// from the supply or module that it belongs to; a module from its `fed_by`, else from the first supply in its
/// enclosure.
#[derive(Clone, Debug, Default)]
pub struct Feeding<'j> {
    parents: BTreeMap<&'j str, &'j str>,
    supplies: BTreeMap<&'j str, usize>,
    /// The supply of every point that has a parent of its own, found once.
    roots: BTreeMap<&'j str, Option<usize>>,
    modules: BTreeMap<&'j str, &'j Module>,
}

impl<'j> Feeding<'j> {
    /// Gathers the points of a job.
    #[must_use]
    pub fn new(job: &'j Job) -> Self {
        let mut feeding = Self::default();
        for (at, supply) in job.supplies.iter().enumerate() {
            feeding.supplies.insert(&supply.id, at);
        }
        for module in &job.modules {
            feeding.modules.insert(&module.id, module);
            if let Some(point) = &module.fed_by {
                feeding.parents.insert(&module.id, point);
            } else if let Some(enclosure) = &module.enclosure
                && let Some(supply) = job.supplies.iter().find(|it| it.enclosure.as_ref() == Some(enclosure))
            {
                feeding.parents.insert(&module.id, &supply.id);
            }
        }
        for output in &job.outputs {
            if let Some(point) = &output.fed_from {
                feeding.parents.insert(&output.id, point);
            }
        }
        for run in job.supplies.iter().flat_map(|supply| &supply.runs) {
            feeding.parents.insert(&run.to, &run.from);
        }
        feeding.find_roots();
        feeding
    }

    /// Follows every point upwards until one whose supply is known: each is passed once.
    fn find_roots(&mut self) {
        let mut roots: BTreeMap<&'j str, Option<usize>> = BTreeMap::new();
        for &point in self.parents.keys() {
            let mut way = Vec::new();
            let mut at = point;
            let root = loop {
                if let Some(root) = roots.get(at) {
                    break *root;
                }
                if let Some(supply) = self.supplies.get(at) {
                    break Some(*supply);
                }
                // Noted before it is known: who comes back here goes in a circle.
                roots.insert(at, None);
                way.push(at);
                match self.parent(at) {
                    Some(parent) => at = parent,
                    None => break None,
                }
            };
            for passed in way {
                roots.insert(passed, root);
            }
        }
        self.roots = roots;
    }

    /// What feeds a point; none for a supply, and for what nothing feeds.
    #[must_use]
    pub fn parent<'n>(&self, point: &'n str) -> Option<&'n str>
    where
        'j: 'n,
    {
        if self.supplies.contains_key(point) {
            return None;
        }
        if let Some(parent) = self.parents.get(point) {
            return Some(parent);
        }
        let (owner, _) = point.rsplit_once('.')?;
        (self.supplies.contains_key(owner) || self.modules.contains_key(owner)).then_some(owner)
    }

    /// A point and all that it hangs on, the supply last. A loop is followed once and no further.
    #[must_use]
    pub fn chain<'n>(&self, point: &'n str) -> Vec<&'n str>
    where
        'j: 'n,
    {
        let mut chain = vec![point];
        let mut seen = BTreeSet::from([point]);
        let mut at = point;
        while let Some(parent) = self.parent(at)
            && seen.insert(parent)
        {
            chain.push(parent);
            at = parent;
        }
        chain
    }

    /// Whether a point hangs on itself.
    #[must_use]
    pub fn is_loop(&self, point: &str) -> bool {
        let last = *self.chain(point).last().unwrap_or(&point);
        self.parent(last) == Some(point)
    }

    /// The supply that a point hangs on, as a place in the job's list.
    #[must_use]
    pub fn supply(&self, point: &str) -> Option<usize> {
        if let Some(root) = self.roots.get(point) {
            return *root;
        }
        match self.supplies.get(point) {
            Some(supply) => Some(*supply),
            None => self.supply(self.parent(point)?),
        }
    }
}
