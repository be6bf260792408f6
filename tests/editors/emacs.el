;;; emacs.el --- Emacs itself drives the server on a real score  -*- lexical-binding: t; -*-

;; emacs -q --no-site-file --batch -l THIS, with the program's folder on PATH, PROJECT the project's
;; folder and SCORES a folder that may be written to.  Ends with code 0, or tells what went wrong.

(require 'cl-lib)
(require 'package)
(package-initialize)
(require 'eglot)
(load (expand-file-name "editors/emacs/brass-mode.el" (getenv "PROJECT")) nil t)

(setq eglot-sync-connect 30
      eglot-connect-timeout 30
      eglot-events-buffer-size 0
      eglot-send-changes-idle-time 0
      create-lockfiles nil
      make-backup-files nil)

(defun check (good what &rest told)
  (unless good (error "%s: %S" what told)))

(defun until-so (what condition)
  "Wait until CONDITION holds; nothing here waits for a time."
  (let ((left 2000) got)
    (while (and (not (setq got (funcall condition))) (> left 0))
      (setq left (1- left))
      (accept-process-output nil 0.01))
    (check got (concat what " never came") (places))
    got))

(defun places ()
  "Line and columns, in characters, of what is found in this buffer."
  (sort (mapcar (lambda (d)
                  (save-excursion
                    (goto-char (flymake-diagnostic-beg d))
                    (let ((column (- (point) (line-beginning-position))))
                      (format "%d:%d-%d" (1- (line-number-at-pos)) column
                              (+ column (- (flymake-diagnostic-end d) (flymake-diagnostic-beg d)))))))
                (flymake-diagnostics))
        #'string<))

(condition-case why
    (let* ((path (expand-file-name "pier.brass" (getenv "SCORES")))
           (coding-system-for-write 'utf-8-dos))
      (with-temp-file path
        (insert "brass 1\n"
                "player Tb1 = straight trombone\n"
                "player Tp1 = trumpet in Bb, level school\n"
                "\n"
                "bar 1  meter 4/4  key Bb major  tempo q = 72\n"
                "Tb1 | h : \"𝄞\" Eb2 F2 |\n"
                "Tp1 | h : A5 F4 |\n"))
      (find-file path)
      (check (eq major-mode 'brass-mode) "mode" major-mode)
      (apply #'eglot (eglot--guess-contact))
      (check (eglot-managed-p) "the server does not manage the score")
      (flymake-start)
      ;; Emacs counts UTF-16 units on the wire and characters on the screen.
      (until-so "the findings" (lambda () (equal (places) '("5:14-17" "6:10-12"))))
      ;; Hover.
      (goto-char (point-min))
      (search-forward "A5")
      (backward-char 1)
      (let ((told (jsonrpc-request (eglot--current-server-or-lose) :textDocument/hover
                                   (eglot--TextDocumentPositionParams))))
        (check (string-match-p "B5" (plist-get (plist-get told :contents) :value)) "hover" told))
      ;; The name of a player, everywhere.
      (goto-char (point-min))
      (search-forward "Tp1")
      (backward-char 1)
      (eglot-rename "Solo")
      (check (string-match-p "^Solo *|" (buffer-string)) "rename" (buffer-string))
      (check (string-match-p "^player Solo = " (buffer-string)) "rename" (buffer-string))
      ;; The columns of the block.
      (eglot-format-buffer)
      (check (string-match-p (concat "^" (regexp-quote "Solo   | h : A5 F4      |") "$") (buffer-string))
             "layout" (buffer-string))
      ;; Without a person, Emacs is never idle, and would not send its last edits.
      (eglot--signal-textDocument/didChange)
      (until-so "the findings after all edits"
                (lambda () (equal (places) '("5:17-20" "6:13-15"))))
      (set-buffer-modified-p nil)
      (eglot-shutdown (eglot--current-server-or-lose))
      (princ (format "Emacs %s with eglot: good\n" emacs-version))
      (kill-emacs 0))
  (error
   (princ (format "Emacs %s with eglot: %s\n" emacs-version (error-message-string why)))
   (kill-emacs 1)))
