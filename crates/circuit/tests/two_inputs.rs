//! Two inputs at once, against a nodal solver that knows nothing of series and parallel.
//!
//! Second method: Kirchhoff's current law at every node, solved by elimination.

use circuit::Lift;
use network::Bounds;

/// Conductances between nodes; node 0 is the module's 0 V.
struct Nodes {
    matrix: Vec<Vec<f64>>,
    currents: Vec<f64>,
}

impl Nodes {
    fn new(count: usize) -> Self {
        Self { matrix: vec![vec![0.0; count]; count], currents: vec![0.0; count] }
    }

    fn resistor(&mut self, one: usize, other: usize, ohms: f64) {
        let conductance = 1.0 / ohms;
        self.matrix[one][one] += conductance;
        self.matrix[other][other] += conductance;
        self.matrix[one][other] -= conductance;
        self.matrix[other][one] -= conductance;
    }

    /// A source of `volts` behind `ohms`, from 0 V to a node, as current and conductance.
    fn input(&mut self, node: usize, volts: f64, ohms: f64) {
        self.resistor(0, node, ohms);
        self.currents[node] += volts / ohms;
    }

    fn solve(mut self) -> Vec<f64> {
        let count = self.currents.len();
        for pivot in 1..count {
            let row = (pivot..count)
                .max_by(|&a, &b| self.matrix[a][pivot].abs().total_cmp(&self.matrix[b][pivot].abs()))
                .expect("a row is left");
            self.matrix.swap(pivot, row);
            self.currents.swap(pivot, row);
            for below in pivot + 1..count {
                let factor = self.matrix[below][pivot] / self.matrix[pivot][pivot];
                for column in pivot..count {
                    self.matrix[below][column] -= factor * self.matrix[pivot][column];
                }
                self.currents[below] -= factor * self.currents[pivot];
            }
        }
        let mut volts = vec![0.0; count];
        for node in (1..count).rev() {
            let known: f64 = (node + 1..count).map(|other| self.matrix[node][other] * volts[other]).sum();
            volts[node] = (self.currents[node] - known) / self.matrix[node][node];
        }
        volts
    }
}

/// What an input takes its terminal volts for.
fn apparent(volts: f64, source: f64, pull_up: f64) -> f64 {
    pull_up * volts / (source - volts)
}

const SOURCE: f64 = 5.0;
const PULL_UP: f64 = 2_200.0;

#[test]
fn a_common_that_carries_both_currents() {
    let (common, one, other) = (12.0, 4_700.0, 330.0);
    // 0 V - common - node 1; circuit one from node 1 to input node 2, circuit other from node 1 to node 3.
    let mut nodes = Nodes::new(4);
    nodes.resistor(0, 1, common);
    nodes.resistor(1, 2, one);
    nodes.resistor(1, 3, other);
    nodes.input(2, SOURCE, PULL_UP);
    nodes.input(3, SOURCE, PULL_UP);
    let shown = apparent(nodes.solve()[2], SOURCE, PULL_UP);
    // The lift is told the other circuit's own resistance and takes the circuit with its own share of the
    // common; the product of the two small quantities is on the safe side.
    let share = common / (PULL_UP + other);
    let lift = Lift { share, more: share * PULL_UP };
    let high = lift.applied(Bounds { lo: one + common, hi: one + common }).hi;
    assert!(high >= shown, "{high} is not above {shown}");
    assert!(high - shown <= common * common / (PULL_UP + other) * 1.001, "{high} is far above {shown}");
    assert!(shown > one + common, "the other circuit's current counts");
}

#[test]
fn a_common_lifted_by_the_detectors_current() {
    let (common, one, detectors) = (4.0, 2_200.0, 0.1);
    let mut nodes = Nodes::new(3);
    nodes.resistor(0, 1, common);
    nodes.resistor(1, 2, one);
    nodes.input(2, SOURCE, PULL_UP);
    nodes.currents[1] += detectors;
    let shown = apparent(nodes.solve()[2], SOURCE, PULL_UP);
    let lifted = common * detectors / SOURCE;
    let share = lifted / (1.0 - lifted);
    let lift = Lift { share, more: share * PULL_UP };
    let high = lift.applied(Bounds { lo: one + common, hi: one + common }).hi;
    assert!(high >= shown - 1e-9, "{high} is not above {shown}");
    assert!(high - shown < common, "{high} is far above {shown}");
}

/// `Act::Shared`: two like inputs, whose circuits touch behind the same length of cable, see each twice what
/// the two are across one another, with the cable in front.
#[test]
fn live_cores_that_touch_show_twice_the_parallel() {
    let (cable, one, other) = (3.0, 1e6, 2_200.0);
    let mut nodes = Nodes::new(4);
    nodes.input(1, SOURCE, PULL_UP);
    nodes.input(2, SOURCE, PULL_UP);
    nodes.resistor(1, 3, cable);
    nodes.resistor(2, 3, cable);
    nodes.resistor(3, 0, one);
    nodes.resistor(3, 0, other);
    let shown = apparent(nodes.solve()[1], SOURCE, PULL_UP);
    let twice = cable + 2.0 * network::parallel(one, other);
    assert!((shown / twice - 1.0).abs() < 1e-9, "{shown} is not {twice}");
}
