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

;; Words of the program, written by tests/grammar
(defconst brass--line-words
  '("instrument" "arranger" "composer" "include" "roadmap" "chords" "phrase"
    "player" "rhythm" "rights" "tuning" "allow" "brass" "group" "level"
    "pitch" "title" "bar"))
(defconst brass--setting-words
  '("ending" "pickup" "repeat" "close" "meter" "tempo" "mark" "spot" "key"
    "to"))
(defconst brass--option-words
  '("comfortable" "fundamental" "signature" "doubles" "natural" "bottom"
    "valved" "valves" "level" "mutes" "plain" "range" "seats" "slide" "clef"
    "name" "top" "in"))
(defconst brass--value-words
  '("harmon-stemless" "professional" "solo-tone" "practice" "stopping"
    "straight" "amateur" "concert" "plunger" "whisper" "written" "bucket"
    "harmon" "school" "treble" "tenor" "alto" "bass" "cup" "hat"))
(defconst brass--instrument-words
  '("contrabass trombone" "straight trombone" "natural trumpet"
    "piccolo trumpet" "soprano cornet" "alto trombone" "baritone horn"
    "bass trombone" "bass trumpet" "natural horn" "Wagner tuba"
    "single horn" "flugelhorn" "mellophone" "sousaphone" "tenor horn"
    "euphonium" "BBb tuba" "cimbasso" "trombone" "CC tuba" "Eb tuba"
    "alphorn" "trumpet" "F tuba" "cornet" "bugle" "bass" "horn"))
(defconst brass--dynamic-words
  '("cresc" "ffff" "pppp" "dim" "fff" "ppp" "rfz" "sfp" "sfz" "ff" "fp" "fz"
    "mf" "mp" "pp" "sf" "f" "p"))
(defconst brass--technique-words
  '("halfvalve" "fermata" "flutter" "stopped" "closed" "ghost" "gliss"
    "growl" "scoop" "shake" "trill" "wedge" "bend" "doit" "fall" "open"
    "turn" "lip" "rip" "wah"))
;; End of them

(defvar brass-font-lock-keywords
  `((,(concat "^[ \t]*" (regexp-opt brass--line-words 'symbols)) . font-lock-keyword-face)
    ("^[ \t]*\\(?:player\\|group\\|instrument\\|phrase\\)[ \t]+\\(\\w+\\)" 1 font-lock-variable-name-face)
    ;; Behind these words stand words of their own.
    ("^[ \t]*\\(?:player\\|instrument\\)\\_>"
     (,(regexp-opt brass--instrument-words 'symbols) nil nil (0 font-lock-type-face))
     (,(regexp-opt brass--option-words 'symbols) (brass--back-to-line) nil (0 font-lock-builtin-face))
     (,(regexp-opt (cons "none" brass--value-words) 'symbols) (brass--back-to-line) nil
      (0 font-lock-constant-face)))
    ("^[ \t]*bar\\_>"
     (,(regexp-opt brass--setting-words 'symbols) nil nil (0 font-lock-builtin-face)))
    (,(concat ":" (regexp-opt brass--technique-words t) "\\(?:[^[:alpha:]]\\|$\\)") 1 font-lock-function-name-face)
    ("\\_<[A-G]\\(?:#\\|bb?\\|x\\|[♯♭𝄪𝄫]\\)?[0-9]" . font-lock-constant-face)
    (,(concat "\\(?:^\\|[ \t]\\)" (regexp-opt brass--dynamic-words t) "\\(?:[ \t]\\|$\\)")
     1 font-lock-type-face)
    ("\\[[^]\n|]*\\]" . font-lock-preprocessor-face))
  "What is told apart without the language server.")

(defun brass--back-to-line ()
  "Look at a line again from its beginning, and to its end."
  (beginning-of-line)
  (line-end-position))

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
