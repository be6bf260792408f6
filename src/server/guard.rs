//! Stands round the service that routes messages, and keeps their order.
//!
//! Every handler is polled once in the order of the wire. Notifications are done by then. A request that
//! waits for something goes on in a task of its own, so that nothing queues behind it. A panic becomes an
//! error reply.

use super::ending::Ending;
use super::log;
use super::outbox::Outbox;
use std::any::Any;
use std::future::{self, Future};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::pin::Pin;
use std::task::{Context, Poll, Waker};
use tower_lsp::jsonrpc::{Error, ErrorCode, Id, Request, Response};
use tower_service::Service;

type Reply<E> = Pin<Box<dyn Future<Output = Result<Option<Response>, E>> + Send>>;

/// The wrapper.
pub struct Guard<S> {
    inner: S,
    outbox: Outbox,
    ending: Ending,
    /// Is shown every notification before its handler; false keeps it from it.
    admit: Box<dyn Fn(&Request) -> bool + Send>,
}

impl<S> Guard<S> {
    pub fn new(
        inner: S,
        outbox: Outbox,
        ending: Ending,
        admit: impl Fn(&Request) -> bool + Send + 'static,
    ) -> Self {
        Guard { inner, outbox, ending, admit: Box::new(admit) }
    }
}

impl<S, E> Service<Request> for Guard<S>
where
    S: Service<Request, Response = Option<Response>, Error = E>,
    S::Future: Send + 'static,
    E: std::fmt::Display + Send + 'static,
{
    type Response = Option<Response>;
    type Error = E;
    type Future = Reply<E>;

    fn poll_ready(&mut self, _: &mut Context<'_>) -> Poll<Result<(), E>> {
        Poll::Ready(Ok(()))
    }

    fn call(&mut self, request: Request) -> Reply<E> {
        let request = without_empty_params(request);
        let (method, id) = (request.method().to_owned(), request.id().cloned());
        if id.is_none() && !(self.admit)(&request) {
            return Box::pin(future::ready(Ok(None)));
        }
        let mut work: Reply<E> = match catch_unwind(AssertUnwindSafe(|| self.inner.call(request))) {
            Ok(work) => Box::pin(work),
            Err(panic) => return Box::pin(future::ready(Ok(failed(id, &method, &*panic)))),
        };
        let first = poll_safely(&mut work, &mut Context::from_waker(Waker::noop()));
        match (first, id) {
            (Poll::Ready(Ok(Ok(response))), id) => {
                note_fault(&method, response.as_ref());
                let response = response.or_else(|| id.map(no_such_method));
                let answered = response.as_ref().is_some_and(Response::is_ok);
                match method.as_str() {
                    "shutdown" if answered => self.ending.shutdown(),
                    // Written before anything else can be: no other message may come first.
                    "initialize" if answered => {
                        if let Ok(value) = serde_json::to_value(&response) {
                            self.outbox.message(&value);
                            return Box::pin(future::ready(Ok(None)));
                        }
                    }
                    _ => {}
                }
                Box::pin(future::ready(Ok(response)))
            }
            (Poll::Ready(Ok(Err(error))), _) => Box::pin(future::ready(Err(error))),
            (Poll::Ready(Err(panic)), id) => {
                self.forget(id.clone());
                Box::pin(future::ready(Ok(failed(id, &method, &*panic))))
            }
            (Poll::Pending, id) => {
                if id.is_none() {
                    log::trouble(&format!("the handler of the notification {method} waits; it must not"));
                }
                let failure = id.clone();
                let task = tokio::spawn(future::poll_fn(move |cx| match poll_safely(&mut work, cx) {
                    Poll::Pending => Poll::Pending,
                    Poll::Ready(Ok(result)) => {
                        note_fault(&method, result.as_ref().ok().and_then(Option::as_ref));
                        Poll::Ready(result)
                    }
                    Poll::Ready(Err(panic)) => Poll::Ready(Ok(failed(id.clone(), &method, &*panic))),
                }));
                Box::pin(async move {
                    match task.await {
                        Ok(result) => result,
                        Err(_) => Ok(failure.map(|id| Response::from_error(id, Error::internal_error()))),
                    }
                })
            }
        }
    }
}

impl<S, E> Guard<S>
where
    S: Service<Request, Response = Option<Response>, Error = E>,
{
    /// A request that panicked is still listed as pending; cancelling it frees its id.
    fn forget(&mut self, id: Option<Id>) {
        let id = match id {
            Some(Id::Number(number)) => serde_json::json!({"id": number}),
            Some(Id::String(text)) => serde_json::json!({"id": text}),
            _ => return,
        };
        let cancel = Request::build("$/cancelRequest").params(id).finish();
        let mut work = Box::pin(self.inner.call(cancel));
        let _ = work.as_mut().poll(&mut Context::from_waker(Waker::noop()));
    }
}

/// `"params": null` is what some clients write for none.
fn without_empty_params(request: Request) -> Request {
    if !request.params().is_some_and(serde_json::Value::is_null) {
        return request;
    }
    let (method, id, _) = request.into_parts();
    match id {
        Some(id) => Request::build(method).id(id).finish(),
        None => Request::build(method).finish(),
    }
}

fn no_such_method(id: Id) -> Response {
    Response::from_error(id, Error::method_not_found())
}

type Polled<E> = Poll<Result<Result<Option<Response>, E>, Box<dyn Any + Send>>>;

fn poll_safely<E>(work: &mut Reply<E>, cx: &mut Context<'_>) -> Polled<E> {
    match catch_unwind(AssertUnwindSafe(|| work.as_mut().poll(cx))) {
        Ok(Poll::Pending) => Poll::Pending,
        Ok(Poll::Ready(result)) => Poll::Ready(Ok(result)),
        Err(panic) => Poll::Ready(Err(panic)),
    }
}

fn failed(id: Option<Id>, method: &str, panic: &(dyn Any + Send)) -> Option<Response> {
    let response = id.map(|id| Response::from_error(id, own_fault(panic_text(panic))));
    match &response {
        Some(_) => note_fault(method, response.as_ref()),
        None => log::trouble(&format!("{method} failed: {}", panic_text(panic))),
    }
    response
}

/// The answer to a question over which something panicked. What it said is for a report, not for users.
pub fn own_fault(said: &str) -> Error {
    Error {
        code: ErrorCode::InternalError,
        message: "waterkey met a fault of its own over this question and goes on. Its log says more; please report it."
            .into(),
        data: Some(serde_json::json!({"panic": said})),
    }
}

/// Logs which question was answered with a fault of our own.
fn note_fault(method: &str, response: Option<&Response>) {
    let Some(response) = response else { return };
    let Some(error) = response.error().filter(|error| error.code == ErrorCode::InternalError) else { return };
    let said = error.data.as_ref().and_then(|data| data.get("panic")?.as_str()).unwrap_or(&error.message);
    let id = serde_json::to_string(response.id()).unwrap_or_default();
    log::trouble(&format!("{method}, id {id}, failed: {said}"));
}

/// What a panic said.
pub fn panic_text(panic: &(dyn Any + Send)) -> &str {
    let text = panic.downcast_ref::<&str>().copied();
    text.or_else(|| panic.downcast_ref::<String>().map(String::as_str)).unwrap_or("without a word")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Panics at once, panics later, waits for ever, answers.
    struct Moody;

    impl Service<Request> for Moody {
        type Response = Option<Response>;
        type Error = String;
        type Future = Reply<String>;

        fn poll_ready(&mut self, _: &mut Context<'_>) -> Poll<Result<(), String>> {
            Poll::Ready(Ok(()))
        }

        fn call(&mut self, request: Request) -> Reply<String> {
            let (method, id, _) = request.into_parts();
            Box::pin(async move {
                match &*method {
                    "now" => panic!("now"),
                    "later" => {
                        tokio::task::yield_now().await;
                        panic!("later")
                    }
                    "silent" => Ok(None),
                    _ => Ok(id.map(|id| Response::from_ok(id, serde_json::Value::Null))),
                }
            })
        }
    }

    async fn code(method: &'static str) -> Option<i64> {
        let mut guard = Guard::new(Moody, Outbox::default(), Ending::default(), |_| true);
        let response = guard.call(Request::build(method).id(1).finish()).await.unwrap().unwrap();
        response.error().map(|e| e.code.code())
    }

    #[tokio::test]
    async fn panics_become_replies() {
        assert_eq!(code("now").await, Some(-32603));
        assert_eq!(code("later").await, Some(-32603));
        assert_eq!(code("silent").await, Some(-32601));
        assert_eq!(code("fine").await, None);
    }

    #[tokio::test]
    async fn shutdown_is_noted() {
        let ending = Ending::default();
        let mut guard = Guard::new(Moody, Outbox::default(), ending.clone(), |_| true);
        assert_eq!(ending.code(), 1);
        drop(guard.call(Request::build("shutdown").params(serde_json::Value::Null).id(1).finish()));
        assert_eq!(ending.code(), 0);
    }
}
