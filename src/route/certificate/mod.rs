//! A [`Network`] and a [`Route`] → whether every line is walked as it should be, and whether nothing shorter exists.
//!
//! Nothing that made the route is trusted or called: steps, pieces, odd nodes, lengths and distances are all worked out
//! anew, by code of this folder alone.
//!
//! The proof, for one piece: let `T` be the nodes with an odd number of line ends. However a walk over the piece is laid,
//! what it walks more than once joins all of `T` but its two ends in pairs. The certificate gives each node of `T`, two
//! free ends, and some odd sets of these a dual. No pair is further apart than the duals allow it to be: those of the two,
//! and of all sets that part them, sum to at most the shortest way between them (0 for a free end). Each odd set sends at
//! least one of its members out. So the sum of all duals is a length that no choice can beat; if the route is as short,
//! it is one of the shortest. (Weak duality of J. Edmonds' matching polytope, see [`super::matching`].)

mod claims;
pub mod refusal;
mod sets;
mod ways;

use crate::network::{EdgeKind, Network};
use crate::route::Route;
use crate::route::matching::OddSet;
use refusal::Refusal;
use sets::Sets;
use ways::Ways;

/// Duals are counted in fractions of a micrometre; an even number, so that halves are whole.
pub const DUALS_PER_UM: i64 = 2048;

/// The proof that a piece is walked with the least doubling back.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Certificate {
    /// Travel edges that hold the piece together and have to be walked for that, rising; without any the proof holds for
    /// all walks, with some for all walks that use them.
    pub connectors: Vec<usize>,
    /// The node at which the walk was asked to begin.
    pub start: Option<usize>,
    /// The odd nodes, rising.
    pub nodes: Vec<usize>,
    /// How many ends of the walk were free to choose: 2, 1 if it had to begin at a node, 0 if every node is even.
    pub free_ends: usize,
    /// The dual of each odd node and then of each free end, in fractions of a micrometre: [`DUALS_PER_UM`].
    pub duals: Vec<i64>,
    /// Odd sets of indices into `duals`, each with a dual above 0 and after the set around it.
    pub sets: Vec<OddSet>,
}

/// What was found right; only [`verify`] makes one.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Proof {
    bound_um: u64,
    joined: bool,
}

impl Proof {
    /// The sum of all duals, µm: what has to be walked again or along the edge, beyond the connectors, and is.
    #[must_use]
    pub fn bound_um(&self) -> u64 {
        self.bound_um
    }

    /// The same in mm.
    #[must_use]
    pub fn bound_mm(&self) -> f64 {
        self.bound_um as f64 / 1000.0
    }

    /// True if no walk at all over the network does with less; false if pieces are joined by connectors, for then only
    /// walks over the same connectors are known not to.
    #[must_use]
    pub fn holds_for_all(&self) -> bool {
        !self.joined
    }
}

/// Checks a route over a network, and that no other walks less.
///
/// # Errors
/// A [`Refusal`] that names the first thing found wrong.
pub fn verify(network: &Network, route: &Route) -> Result<Proof, Refusal> {
    claims::check_edges(network)?;
    claims::check_steps(network, route)?;
    let least = claims::fewest_pieces(network);
    for found in [route.pieces.len(), route.certificates.len()] {
        if found != least {
            return Err(Refusal::Pieces { found, least });
        }
    }
    let mut ways = Ways::of(network);
    let part = claims::parts(network, |e| e.kind == EdgeKind::Drawn);
    let mut proof = Proof::default();
    for (piece, (walk, certificate)) in route.pieces.iter().zip(&route.certificates).enumerate() {
        let extra = claims::check_claims(network, &part, walk, certificate)
            .map_err(|what| Refusal::Mismatch { piece, what })?;
        check_duals(&mut ways, certificate, piece)?;
        let bound = bound_um(certificate);
        if bound != i128::from(extra) {
            let bound_um = u64::try_from(bound).unwrap_or(0);
            return Err(Refusal::Gap { piece, value_um: extra, bound_um });
        }
        proof.bound_um += extra;
        proof.joined |= !certificate.connectors.is_empty();
    }
    Ok(proof)
}

/// No two are nearer to each other than the duals claim, and every set is odd and nested as it should be.
fn check_duals(ways: &mut Ways, certificate: &Certificate, piece: usize) -> Result<(), Refusal> {
    let (count, odd) = (certificate.duals.len(), certificate.nodes.len());
    let sets = Sets::of(count, &certificate.sets).map_err(|set| Refusal::OddSet { piece, set })?;
    let reach: Vec<i128> =
        certificate.duals.iter().enumerate().map(|(v, d)| i128::from(*d) + sets.around(v)).collect();
    let per_um = i128::from(DUALS_PER_UM);
    let check = |a: usize, b: usize, apart_um: u64| {
        // Duals of sets that hold both do not part them.
        let claimed = reach[a] + reach[b] - 2 * sets.around_both(a, b);
        if claimed <= i128::from(apart_um) * per_um {
            return Ok(());
        }
        Err(Refusal::Dual { piece, a, b, apart_um, claimed_um: (claimed + per_um - 1).div_euclid(per_um) })
    };
    for end in odd..count {
        (0..end).try_for_each(|other| check(other, end, 0))?;
    }
    for (a, &node) in certificate.nodes.iter().enumerate() {
        // A pair claims at most the sum of both reaches, so the one that reaches further finds it within twice its own.
        let Ok(limit) = u64::try_from(2 * reach[a] / per_um) else { continue };
        for (other, apart_um) in ways.around(node, limit) {
            match certificate.nodes.binary_search(&other) {
                Ok(b) if b != a && reach[b] <= reach[a] => check(a, b, apart_um)?,
                _ => {}
            }
        }
    }
    Ok(())
}

/// The sum of all duals, rounded up to whole micrometres: every length is one.
fn bound_um(certificate: &Certificate) -> i128 {
    let own: i128 = certificate.duals.iter().map(|d| i128::from(*d)).sum();
    let sets: i128 = certificate.sets.iter().map(|s| i128::from(s.dual)).sum();
    let per = i128::from(DUALS_PER_UM);
    (own + sets + per - 1).div_euclid(per)
}
