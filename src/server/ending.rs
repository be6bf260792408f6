//! How the server ends: whether it was asked to, and whether it must at once.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use tokio::sync::Notify;

/// Shared by all who can end the server.
#[derive(Clone, Default)]
pub struct Ending(Arc<Facts>);

#[derive(Default)]
struct Facts {
    shutdown: AtomicBool,
    cut: Notify,
    input_ended: Notify,
}

impl Ending {
    /// The client asked for `shutdown`.
    pub fn shutdown(&self) {
        self.0.shutdown.store(true, Ordering::SeqCst);
    }

    /// Nobody is there any more: end at once.
    pub fn cut(&self, why: &str) {
        super::log::note(why);
        self.0.cut.notify_one();
    }

    /// No more input comes: answer what is asked and end.
    pub fn input_ended(&self) {
        self.0.input_ended.notify_one();
    }

    /// Waits for [`Ending::cut`].
    pub async fn when_cut(&self) {
        self.0.cut.notified().await;
    }

    /// Waits for [`Ending::input_ended`].
    pub async fn when_input_ended(&self) {
        self.0.input_ended.notified().await;
    }

    /// The exit status: 0 after `shutdown`, 1 otherwise.
    pub fn code(&self) -> u8 {
        u8::from(!self.0.shutdown.load(Ordering::SeqCst))
    }
}
