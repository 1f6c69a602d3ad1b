//! The cut-over as tables: the running order, the circuits with their times, the steps.

use assess::Cutover;

use crate::tables::{Cell, Table};

pub(crate) fn tables(cutover: &Cutover) -> Vec<Table> {
    vec![order(cutover), circuits(cutover), steps(cutover)]
}

fn number(number: u32) -> Cell {
    Cell::Number(f64::from(number))
}

fn order(cutover: &Cutover) -> Table {
    let tasks = cutover.plan.as_ref().map_or(&[][..], |plan| plan.tasks.as_slice());
    let rows = tasks.iter().enumerate().map(|(at, task)| {
        let who: Vec<String> = task.who.iter().map(|who| format!("T{who}")).collect();
        let after: Vec<String> = task.after.iter().map(|before| (before + 1).to_string()).collect();
        vec![
            (at + 1).into(),
            cutover.clock.written(task.start).into(),
            cutover.clock.written(task.end).into(),
            number(task.start),
            number(task.end),
            who.join(" ").into(),
            task.act.word().into(),
            cutover.name(task.act).into(),
            cutover.place(task.act).into(),
            after.join(" ").into(),
        ]
    });
    Table {
        name: "cutover",
        columns: vec![
            "number",
            "start",
            "end",
            "start_min",
            "end_min",
            "who",
            "act",
            "what",
            "where",
            "after",
        ],
        rows: rows.collect(),
    }
}

fn circuits(cutover: &Cutover) -> Table {
    let dead = cutover.plan.as_ref().map_or(&[][..], |plan| plan.dead.as_slice());
    let rows =
        cutover.circuits.iter().zip(&cutover.problem.lines).enumerate().map(|(at, (circuit, line))| {
            let dummy = cutover.dummies.iter().find(|dummy| dummy.tag == line.tag);
            let [from, to] = match dead.get(at) {
                Some((from, to)) => [number(*from), number(*to)],
                None => [Cell::Empty, Cell::Empty],
            };
            vec![
                line.tag.as_str().into(),
                crate::words::input(circuit).into(),
                circuit.duty.map_or("", job::Duty::word).into(),
                number(line.weight),
                number(line.weight_occupied),
                from,
                to,
                dummy.map_or(Cell::Empty, |dummy| dummy.value.map(|value| value.0).into()),
            ]
        });
    Table {
        name: "cutover_circuits",
        columns: vec![
            "tag",
            "input",
            "duty",
            "weight_empty",
            "weight_occupied",
            "dead_from_min",
            "dead_to_min",
            "dummy_ohm",
        ],
        rows: rows.collect(),
    }
}

fn steps(cutover: &Cutover) -> Table {
    let rows = cutover.steps.iter().map(|step| {
        vec![
            step.number.into(),
            step.task.map_or(Cell::Empty, |task| (task + 1).into()),
            step.phase.word().into(),
            step.place.as_str().into(),
            step.act.as_str().into(),
            step.proof.as_str().into(),
            step.undoes.as_str().into(),
            step.caution.as_str().into(),
        ]
    });
    Table {
        name: "cutover_steps",
        columns: vec!["number", "task", "phase", "where", "do", "proof", "undoes", "caution"],
        rows: rows.collect(),
    }
}
