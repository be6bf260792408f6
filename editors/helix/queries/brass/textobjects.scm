; A block is what a class is elsewhere, a bar what a parameter is.
(block) @class.around
(music_bar) @parameter.inside
(comment) @comment.inside
(comment)+ @comment.around
