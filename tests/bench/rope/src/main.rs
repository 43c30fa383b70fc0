//! The deck rig as a chain of point bodies on rope joints in a general-purpose rigid-body engine, against the fall as
//! Dotdown works it out: time taken, and the error of the hook's depth.

use std::time::Instant;

use dotdown::rig::fall::{Rig, Settings, Simulator};
use rapier2d_f64::prelude::*;

#[path = "../../chain.rs"]
#[allow(dead_code)]
mod chain;

/// The engine is made for kilograms: masses and forces are given to it a million times as large.
const SCALE: f64 = 1e6;

fn engine(rig: &Rig, golden: &serde_json::Value, h: f64, iterations: usize) -> (f64, f64) {
    let numbers = |field: &str| -> Vec<f64> {
        golden[field].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
    };
    let (s, want) = (numbers("node_s_m"), numbers("hook_z_m"));
    let chain = chain::Chain::new(rig, s);
    let n = chain.s.len();
    let mut world = PhysicsWorld::default();
    world.gravity = Vector::ZERO;
    world.integration_parameters.dt = h;
    world.integration_parameters.num_solver_iterations = iterations;
    world.integration_parameters.warmstart_joints = true;
    world.integration_parameters.length_unit = 0.01;
    let handles: Vec<RigidBodyHandle> = (0..n)
        .map(|i| {
            let body = if i == 0 { RigidBodyBuilder::fixed() } else { RigidBodyBuilder::dynamic() };
            let at = Vector::new(chain.s[i], 0.0);
            world.bodies.insert(
                body.translation(at).lock_rotations().additional_mass(chain.mass[i] * SCALE).can_sleep(false),
            )
        })
        .collect();
    for k in 1..n {
        let joint = RopeJointBuilder::new(chain.s[k] - chain.s[k - 1]);
        world.impulse_joints.insert(handles[k - 1], handles[k], joint, true);
    }
    let steps = (0.25 / h).round() as usize;
    let (mut r, mut v, mut f) = (vec![[0.0; 2]; n], vec![[0.0; 2]; n], vec![[0.0; 2]; n]);
    let (start, mut worst) = (Instant::now(), 0.0_f64);
    for want in want.iter().skip(1) {
        for _ in 0..steps {
            for (i, handle) in handles.iter().enumerate() {
                let body = &world.bodies[*handle];
                let (at, speed) = (body.translation(), body.linvel());
                r[i] = [at.x, at.y];
                v[i] = [speed.x, speed.y];
            }
            chain.forces(&r, &v, &mut f);
            for (handle, f) in handles.iter().zip(&f).skip(1) {
                let body = &mut world.bodies[*handle];
                body.reset_forces(true);
                body.add_force(Vector::new(f[0] * SCALE, f[1] * SCALE), true);
            }
            world.step();
        }
        let z = world.bodies[handles[n - 1]].translation().y;
        worst = if z.is_finite() { worst.max((z - want).abs()) } else { f64::INFINITY };
    }
    (start.elapsed().as_secs_f64(), worst)
}

fn main() {
    let text = include_str!("../../../data/rig_fall/g1_deck_bulk_90.json");
    let golden: serde_json::Value = serde_json::from_str(text).unwrap();
    let rig: Rig = serde_json::from_value(golden["rig"].clone()).unwrap();
    let mut simulator = Simulator::new();
    let mut ours = f64::INFINITY;
    for _ in 0..20 {
        let start = Instant::now();
        simulator.fall(&rig, &Settings::default()).unwrap();
        ours = ours.min(start.elapsed().as_secs_f64());
    }
    println!("dotdown, 10 ms steps: {:.1} ms for {} s", ours * 1e3, rig.t_end_s);
    for (h, iterations) in [(0.01, 4), (0.005, 16), (0.001, 4), (0.001, 32), (0.00025, 16)] {
        let (taken, worst) = engine(&rig, &golden["same_mesh"], h, iterations);
        println!(
            "engine, {} ms steps, {iterations} iterations: {taken:.2} s, {:.0} times slower, hook depth off by up to {:.1} mm",
            h * 1e3,
            taken / ours,
            worst * 1e3
        );
    }
}
