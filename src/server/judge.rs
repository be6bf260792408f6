//! What the body of a frame is: a message that can be passed on, or something to answer or drop.

use serde_json::{Value, json};
use tower_lsp::jsonrpc::{Request, Response};

/// What to do with a body.
#[derive(Debug, PartialEq)]
pub enum Verdict {
    /// Pass it on.
    Message {
        /// True for the notification after which nothing more is read.
        exit: bool,
    },
    /// Answer with this error; nothing is passed on.
    Answer(Value),
    /// No answer would reach anybody.
    Drop(&'static str),
}

const PARSE_ERROR: i64 = -32700;
const INVALID_REQUEST: i64 = -32600;

/// Judges a body. What passes is what the layers behind can take, tried with their own types.
pub fn judge(body: &[u8]) -> Verdict {
    let request = serde_json::from_slice::<Request>(body).ok();
    if let Some(request) = request.as_ref().filter(|r| !r.method().is_empty()) {
        return Verdict::Message { exit: request.method() == "exit" && request.id().is_none() };
    }
    if serde_json::from_slice::<Response>(body).is_ok() {
        return Verdict::Message { exit: false };
    }
    if request.is_some() {
        // An answer without an answer. Replying with its id would answer one of the client's own.
        return Verdict::Drop("a message without a method and without a result");
    }
    let Ok(text) = std::str::from_utf8(body) else {
        return answer(PARSE_ERROR, Value::Null, "This message is not UTF-8.");
    };
    match serde_json::from_str::<Value>(text) {
        Err(_) => answer(PARSE_ERROR, Value::Null, "This message is not JSON."),
        Ok(Value::Array(_)) => {
            answer(INVALID_REQUEST, Value::Null, "Several messages in one frame are not taken.")
        }
        Ok(Value::Object(object)) => match (object.get("method"), object.get("id")) {
            (Some(_), Some(id)) => {
                let id = if id.is_string() || id.is_i64() { id.clone() } else { Value::Null };
                answer(INVALID_REQUEST, id, "This is not a request of JSON-RPC 2.0.")
            }
            (Some(_), None) => Verdict::Drop("a notification that is not of JSON-RPC 2.0"),
            (None, _) if object.contains_key("result") || object.contains_key("error") => {
                Verdict::Drop("an answer that is not of JSON-RPC 2.0")
            }
            (None, _) => answer(INVALID_REQUEST, Value::Null, "This message names no method."),
        },
        Ok(_) => answer(INVALID_REQUEST, Value::Null, "A message is a JSON object."),
    }
}

fn answer(code: i64, id: Value, message: &str) -> Verdict {
    Verdict::Answer(json!({"jsonrpc": "2.0", "id": id, "error": {"code": code, "message": message}}))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(body: &str) -> (i64, Value) {
        match judge(body.as_bytes()) {
            Verdict::Answer(value) => (value["error"]["code"].as_i64().unwrap(), value["id"].clone()),
            other => panic!("{body}: {other:?}"),
        }
    }

    #[test]
    fn messages_pass() {
        for body in [
            r#"{"jsonrpc":"2.0","method":"initialized"}"#,
            r#"{"jsonrpc":"2.0","id":1,"method":"shutdown"}"#,
            r#"{"jsonrpc":"2.0","id":"a","result":null}"#,
            r#"{"jsonrpc":"2.0","id":1,"error":{"code":1,"message":"no"}}"#,
        ] {
            assert_eq!(judge(body.as_bytes()), Verdict::Message { exit: false }, "{body}");
        }
        let exit = br#"{"jsonrpc":"2.0","method":"exit"}"#;
        assert_eq!(judge(exit), Verdict::Message { exit: true });
    }

    #[test]
    fn others_are_answered_or_dropped() {
        assert_eq!(code("{"), (PARSE_ERROR, Value::Null));
        assert_eq!(code(""), (PARSE_ERROR, Value::Null));
        assert_eq!(code(&"[".repeat(100_000)), (PARSE_ERROR, Value::Null));
        for odd in ["[]", "1", "null", "{}", r#"{"jsonrpc":"2.0","id":1}"#] {
            let verdict = judge(odd.as_bytes());
            assert!(!matches!(verdict, Verdict::Message { .. }), "{odd}: {verdict:?}");
        }
        assert_eq!(code(r#"{"id":7,"method":"shutdown"}"#), (INVALID_REQUEST, json!(7)));
        assert_eq!(code(r#"{"jsonrpc":"2.0","id":1.5,"method":"shutdown"}"#), (INVALID_REQUEST, Value::Null));
        assert_eq!(code(r#"{"jsonrpc":"1.0","id":"x","method":"shutdown"}"#), (INVALID_REQUEST, json!("x")));
        assert!(matches!(judge(b"\xff\xfe{}"), Verdict::Answer(_)));
    }
}
