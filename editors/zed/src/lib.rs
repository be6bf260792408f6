//! Tells Zed how the language server is started.

use zed_extension_api::{self as zed, serde_json, settings::LspSettings, LanguageServerId, Result, Worktree};

struct Waterkey;

impl zed::Extension for Waterkey {
    fn new() -> Self {
        Waterkey
    }

    fn language_server_command(&mut self, id: &LanguageServerId, worktree: &Worktree) -> Result<zed::Command> {
        let set = LspSettings::for_worktree(id.as_ref(), worktree).ok().and_then(|settings| settings.binary);
        let program = set.and_then(|binary| binary.path).or_else(|| worktree.which("waterkey")).ok_or(
            "There is no program waterkey on the path. `cargo install --path .` in the project puts it there; \
             or name it in the settings under lsp, waterkey, binary, path.",
        )?;
        Ok(zed::Command { command: program, args: vec!["serve".to_owned()], env: worktree.shell_env() })
    }

    fn language_server_initialization_options(
        &mut self,
        id: &LanguageServerId,
        worktree: &Worktree,
    ) -> Result<Option<serde_json::Value>> {
        Ok(LspSettings::for_worktree(id.as_ref(), worktree)?.settings)
    }

    fn language_server_workspace_configuration(
        &mut self,
        id: &LanguageServerId,
        worktree: &Worktree,
    ) -> Result<Option<serde_json::Value>> {
        let settings = LspSettings::for_worktree(id.as_ref(), worktree)?.settings;
        Ok(settings.map(|settings| serde_json::json!({ "waterkey": settings })))
    }
}

zed::register_extension!(Waterkey);
