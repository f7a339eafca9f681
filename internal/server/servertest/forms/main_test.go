package forms_test

import (
	"testing"

	"cloche/internal/server/servertest"
)

func TestMain(m *testing.M) { servertest.Main(m) }
