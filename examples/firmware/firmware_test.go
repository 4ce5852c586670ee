package firmware_test

import "testing"

func TestX(t *testing.T) {}
