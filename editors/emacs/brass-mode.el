;;; brass-mode.el --- Scores for brass, checked by waterkey  -*- lexical-binding: t; -*-

;; Version: 0.1.0
;; Package-Requires: ((emacs "27.1"))
;; Keywords: languages

;;; Commentary:

;; A major mode for .brass files.  Eglot and lsp-mode, whichever is there, find the language server by
;; it: `M-x eglot' or `M-x lsp' in a score, or add one of them to `brass-mode-hook'.

;;; Code:

(defgroup brass nil
  "Scores for brass."
  :group 'languages)

(defcustom brass-server-command '("waterkey" "serve")
  "The command that starts the language server."
  :type '(repeat string)
  :group 'brass)

(defvar brass-mode-syntax-table
  (let ((table (make-syntax-table)))
    (modify-syntax-entry ?/ ". 12" table)
    (modify-syntax-entry ?\n ">" table)
    (modify-syntax-entry ?\r ">" table)
    (modify-syntax-entry ?_ "w" table)
    (modify-syntax-entry ?\" "\"" table)
    table)
  "Syntax of scores: remarks begin with two slashes, words stand in quotes.")

(defvar brass-font-lock-keywords
  `((,(concat "^[ \t]*"
              (regexp-opt '("brass" "title" "composer" "arranger" "rights" "level" "pitch" "tuning"
                            "player" "group" "instrument" "phrase" "allow" "roadmap" "include" "bar"
                            "rhythm" "chords")
                          'symbols))
     . font-lock-keyword-face)
    ("^[ \t]*\\(?:player\\|group\\|instrument\\|phrase\\)[ \t]+\\(\\w+\\)" 1 font-lock-variable-name-face)
    ("\\[[^]\n|]*\\]" . font-lock-builtin-face))
  "What is told apart without the language server.")

;;;###autoload
(define-derived-mode brass-mode prog-mode "Brass"
  "Major mode for scores for brass."
  (setq-local comment-start "// ")
  (setq-local comment-start-skip "//+[ \t]*")
  (setq-local comment-end "")
  (setq-local indent-tabs-mode nil)
  (setq-local truncate-lines t)
  (setq-local font-lock-defaults '(brass-font-lock-keywords)))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\.brass\\'" . brass-mode))

(with-eval-after-load 'eglot
  (defvar eglot-server-programs)
  (add-to-list 'eglot-server-programs (cons 'brass-mode brass-server-command)))

(with-eval-after-load 'lsp-mode
  (defvar lsp-language-id-configuration)
  (declare-function lsp-register-client "lsp-mode")
  (declare-function make-lsp-client "lsp-mode")
  (declare-function lsp-stdio-connection "lsp-mode")
  (declare-function lsp-activate-on "lsp-mode")
  (add-to-list 'lsp-language-id-configuration '(brass-mode . "brass"))
  (lsp-register-client
   (make-lsp-client :new-connection (lsp-stdio-connection (lambda () brass-server-command))
                    :activation-fn (lsp-activate-on "brass")
                    :server-id 'waterkey)))

(provide 'brass-mode)

;;; brass-mode.el ends here
