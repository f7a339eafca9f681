package screens_test

import (
	"testing"

	"cloche/internal/server/servertest"
)

func TestMain(m *testing.M) { servertest.MainOfLooks(m) }
