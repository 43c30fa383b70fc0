//! The deck rig as a chain of point bodies on rope joints in a general-purpose rigid-body engine, against the fall as
//! Dotdown works it out: time taken, and the error of the hook's depth.

use std::time::Instant;

use dotdown::rig::fall::{Rig, FallSettings, Simulator};
use rapier2d_f64::prelude::*;

#[path = "../../chain.rs"]
#[allow(dead_code)]
mod chain;

/// The engine is made for kilograms: masses and forces are given to it a million times as large.
const SCALE: f64 = 1e6;

/// How much of the fall is followed, s: the engine is slow.
const SECONDS: usize = 8;

/// How the points are held together.
#[derive(Clone, Copy, Debug)]
enum Joined {
    /// Rope joints solved by impulses, points that do not turn.
    Ropes,
    /// One multibody: rods of the links' lengths on hinges, in the engine's reduced coordinates.
    Hinges,
}

fn engine(
    rig: &Rig,
    golden: &serde_json::Value,
    joined: Joined,
    h: f64,
    (substeps, sweeps): (usize, usize),
) -> (f64, f64) {
    let numbers = |field: &str| -> Vec<f64> {
        golden[field].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
    };
    let (s, want) = (numbers("node_s_m"), numbers("hook_z_m"));
    let chain = chain::Chain::new(rig, s);
    let n = chain.s.len();
    let mut world = PhysicsWorld::default();
    world.gravity = Vector::ZERO;
    world.integration_parameters.dt = h;
    world.integration_parameters.num_solver_iterations = substeps;
    world.integration_parameters.warmstart_joints = true;
    world.integration_parameters.num_internal_pgs_iterations = sweeps;
    let handles: Vec<RigidBodyHandle> = (0..n)
        .map(|i| {
            let body = if i == 0 { RigidBodyBuilder::fixed() } else { RigidBodyBuilder::dynamic() };
            let body = body.translation(Vector::new(chain.s[i], 0.0)).can_sleep(false);
            let mass = chain.mass[i] * SCALE;
            world.bodies.insert(match joined {
                Joined::Ropes => body.lock_rotations().additional_mass(mass),
                Joined::Hinges => {
                    let l = chain.s[i] - chain.s[i.saturating_sub(1)];
                    body.additional_mass_properties(MassProperties::new(
                        Vector::ZERO,
                        mass,
                        1e-4 * mass * l * l,
                    ))
                }
            })
        })
        .collect();
    for k in 1..n {
        let l = chain.s[k] - chain.s[k - 1];
        match joined {
            Joined::Ropes => {
                world.impulse_joints.insert(handles[k - 1], handles[k], RopeJointBuilder::new(l), true);
            }
            Joined::Hinges => {
                let joint = RevoluteJointBuilder::new().local_anchor2(Vector::new(-l, 0.0));
                world.multibody_joints.insert(handles[k - 1], handles[k], joint, true);
            }
        }
    }
    let steps = (0.25 / h).round() as usize;
    let (mut r, mut v, mut f) = (vec![[0.0; 2]; n], vec![[0.0; 2]; n], vec![[0.0; 2]; n]);
    let (start, mut worst) = (Instant::now(), 0.0_f64);
    for want in want.iter().skip(1).take(4 * SECONDS) {
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
        simulator.fall(&rig, &FallSettings::default()).unwrap();
        ours = ours.min(start.elapsed().as_secs_f64());
    }
    let a_second = ours / rig.t_end_s;
    println!("dotdown, 10 ms steps: {:.2} ms a second of fall", a_second * 1e3);
    let settings = [
        (Joined::Ropes, 0.01, (4, 1)),
        (Joined::Ropes, 0.002, (4, 20)),
        (Joined::Ropes, 0.001, (4, 20)),
        (Joined::Hinges, 0.001, (4, 1)),
    ];
    for (joined, h, (substeps, sweeps)) in settings {
        let (taken, worst) = engine(&rig, &golden["same_mesh"], joined, h, (substeps, sweeps));
        let taken = taken / SECONDS as f64;
        println!(
            "engine, {joined:?}, {} ms steps of {substeps} substeps and {sweeps} sweeps: {:.0} ms a second of fall, {:.0} \
             times slower, hook depth off by up to {:.1} mm",
            h * 1e3,
            taken * 1e3,
            taken / a_second,
            worst * 1e3
        );
    }
}
