package panel

import "errors"

// ErrUnavailable says that the store cannot be reached or cannot write at this
// moment: a full disk, a database that is locked or stopped. Nothing was kept, or
// nobody can tell; whoever sent something has to hold it and send it again.
var ErrUnavailable = errors.New("the database cannot be used at this moment")
