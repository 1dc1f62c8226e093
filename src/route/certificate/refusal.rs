//! What a verifier finds wrong with a route or its proof.

/// What is wrong with a route or its proof.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// An edge leads nowhere, or its length is no number.
    #[error("edge {edge} leads nowhere or has no length; connect the drawing anew")]
    Network {
        /** Which edge. */
        edge: usize,
    },
    /// A step names no edge, or not one that the last step leads to.
    #[error("step {step} of piece {piece} does not follow on from the one before; make the route anew")]
    Broken {
        /** Which piece. */
        piece: usize,
        /** Which of its steps. */
        step: usize,
    },
    /// A step is sewn the wrong number of times.
    #[error("step {step} of piece {piece} is sewn in the wrong way for its visit; make the route anew")]
    WrongVisit {
        /** Which piece. */
        piece: usize,
        /** Which of its steps. */
        step: usize,
    },
    /// A drawn edge is never walked.
    #[error("drawn edge {edge} is never walked; make the route anew")]
    LeftOut {
        /** Which edge of the network. */
        edge: usize,
    },
    /// The route has more pieces than the network, or not one certificate a piece.
    #[error("the route has {found} pieces where {least} would do; make the route anew")]
    Pieces {
        /** Pieces (or certificates) of the route. */
        found: usize,
        /** The fewest there can be. */
        least: usize,
    },
    /// The certificate of a piece speaks of other connectors, odd nodes or ends than the piece has.
    #[error("the certificate of piece {piece} has the wrong {what}; make the route anew")]
    Mismatch {
        /** Which piece. */
        piece: usize,
        /** What is wrong. */
        what: &'static str,
    },
    /// Two nodes are nearer to each other than their duals claim.
    #[error(
        "in piece {piece} odd nodes {a} and {b} are {apart_um} µm apart where the proof claims {claimed_um} µm; make the \
         route anew"
    )]
    Dual {
        /** Which piece. */
        piece: usize,
        /** One odd node or free end, as an index into the duals. */
        a: usize,
        /** The other. */
        b: usize,
        /** How far apart they are, µm. */
        apart_um: u64,
        /** How far apart their duals say they are, µm, rounded up. */
        claimed_um: i128,
    },
    /// An odd set is even, has no dual, or is not nested as it should be.
    #[error("in piece {piece} odd set {set} is none; make the route anew")]
    OddSet {
        /** Which piece. */
        piece: usize,
        /** Which set. */
        set: usize,
    },
    /// The proven bound is not reached.
    #[error(
        "piece {piece} backtracks {value_um} µm where only {bound_um} µm are proven; make the route anew"
    )]
    Gap {
        /** Which piece. */
        piece: usize,
        /** What the route walks more than once, µm. */
        value_um: u64,
        /** What is proven, µm. */
        bound_um: u64,
    },
}
