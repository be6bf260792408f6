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

(defun changed ()
  "Without a person, Emacs is never idle, and would not send its last edits."
  (eglot--signal-textDocument/didChange))

(defun accept (like)
  "Take what is offered at point and begins like that, as a person does who is asked."
  (let ((last-nonmenu-event ?\r))
    (cl-letf (((symbol-function 'completing-read)
               (lambda (_prompt offers &rest _)
                 (let ((offer (cl-find-if (lambda (offer) (string-prefix-p like (car offer))) offers)))
                   (check offer (concat "no offer is like " like) (mapcar #'car offers))
                   (car offer)))))
      (eglot-code-actions (point) (point) nil t)))
  (changed))

(defun has-line (line)
  (string-match-p (concat "^" (regexp-quote line) "$") (buffer-string)))

(condition-case why
    (let* ((path (expand-file-name "pier.brass" (getenv "SCORES")))
           (coding-system-for-write 'utf-8-dos))
      (with-temp-file path
        (insert "brass 1\n"
                "player Tb1 = straight trombone\n"
                "player Tp1 = trumpet in Bb, level school\n"
                "player Tp2 = trumpet in Bb\n"
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
      (until-so "the findings" (lambda () (equal (places) '("6:14-17" "7:10-12"))))
      ;; Hover.
      (goto-char (point-min))
      (search-forward "A5")
      (backward-char 1)
      (let ((told (jsonrpc-request (eglot--current-server-or-lose) :textDocument/hover
                                   (eglot--TextDocumentPositionParams))))
        (check (string-match-p "B5" (plist-get (plist-get told :contents) :value)) "hover" told))
      ;; Ways out: an octave lower, taken back again; given to another player, and back.
      (buffer-enable-undo)
      (dolist (way '(("Down an octave: 1 note" "Tp1 | h : A4 F4 |")
                     ("Give 1 note in bar 1 to Tp2" "Tp2 | h h- : A5 |")))
        (undo-boundary)
        (accept (car way))
        (check (has-line (cadr way)) "offer" way (buffer-string))
        (until-so "one finding less" (lambda () (equal (places) '("6:14-17"))))
        (undo-boundary)
        (primitive-undo 1 (if (car buffer-undo-list) buffer-undo-list (cdr buffer-undo-list)))
        (check (has-line "Tp1 | h : A5 F4 |") "taken back" (buffer-string))
        (changed)
        (until-so "the finding again" (lambda () (equal (places) '("6:14-17" "7:10-12"))))
        (goto-char (point-min))
        (search-forward "A5")
        (backward-char 1))
      ;; A note is completed.
      (goto-char (point-min))
      (search-forward "A5 F4")
      (insert " B")
      (changed)
      (let* ((capf (eglot-completion-at-point))
             (offered (all-completions "B" (nth 2 capf))))
        (check (equal (buffer-substring-no-properties (nth 0 capf) (nth 1 capf)) "B") "what is completed" capf)
        (check (and offered (cl-every (lambda (word) (string-match-p "^B[b#]?[0-9]$" word)) offered))
               "notes" offered)
        (funcall (plist-get (nthcdr 3 capf) :exit-function)
                 (progn (delete-char -1) (insert (car offered)) (car offered)) 'finished)
        (check (has-line (concat "Tp1 | h : A5 F4 " (car offered) " |")) "completed" (buffer-string))
        (delete-char (- (1+ (length (car offered)))))
        (changed))
      (check (has-line "Tp1 | h : A5 F4 |") "as before" (buffer-string))
      (until-so "the findings again" (lambda () (equal (places) '("6:14-17" "7:10-12"))))
      (goto-char (point-min))
      (search-forward "A5")
      (backward-char 1)
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
      (changed)
      (until-so "the findings after all edits"
                (lambda () (equal (places) '("6:17-20" "7:13-15"))))
      (set-buffer-modified-p nil)
      (eglot-shutdown (eglot--current-server-or-lose))
      (princ (format "Emacs %s with eglot: good\n" emacs-version))
      (kill-emacs 0))
  (error
   (princ (format "Emacs %s with eglot: %s\n" emacs-version (error-message-string why)))
   (kill-emacs 1)))
