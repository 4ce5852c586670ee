// A program for Windows that holds a file open for some seconds as an editor may:
// without FILE_SHARE_DELETE, so that nobody can replace it meanwhile. It says
// "open" when it has it. Arguments: the file, the seconds.
package main

import (
	"fmt"
	"os"
	"strconv"
	"time"

	"golang.org/x/sys/windows"
)

func main() {
	if err := hold(os.Args[1], os.Args[2]); err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
}

func hold(path, seconds string) error {
	name, err := windows.UTF16PtrFromString(path)
	if err != nil {
		return err
	}
	length, err := strconv.Atoi(seconds)
	if err != nil {
		return err
	}
	file, err := windows.CreateFile(name, windows.GENERIC_READ, windows.FILE_SHARE_READ, nil, windows.OPEN_EXISTING, windows.FILE_ATTRIBUTE_NORMAL, 0)
	if err != nil {
		return err
	}
	fmt.Println("open")
	time.Sleep(time.Duration(length) * time.Second)
	return windows.CloseHandle(file)
}
