package pseudoterminal

import (
	"fmt"
	"os"

	"golang.org/x/sys/unix"
)

// Open makes a pair. One end is open; the other is a device that is opened by
// its name. The line is raw: what goes in at one end comes out at the other
// unchanged, and nothing is echoed.
func Open() (end *os.File, device string, err error) {
	end, err = os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		return nil, "", err
	}
	defer func() {
		if err != nil {
			end.Close()
		}
	}()
	control, err := end.SyscallConn()
	if err != nil {
		return nil, "", err
	}
	failed := control.Control(func(fd uintptr) {
		var n int
		if n, err = unix.IoctlGetInt(int(fd), unix.TIOCGPTN); err != nil {
			return
		}
		device = fmt.Sprintf("/dev/pts/%d", n)
		if err = unix.IoctlSetPointerInt(int(fd), unix.TIOCSPTLCK, 0); err != nil {
			return
		}
		err = raw(int(fd))
	})
	if err == nil {
		err = failed
	}
	return end, device, err
}

// raw switches off echo, line editing and changes to line ends.
func raw(fd int) error {
	t, err := unix.IoctlGetTermios(fd, unix.TCGETS)
	if err != nil {
		return err
	}
	t.Iflag &^= unix.ICRNL | unix.INLCR | unix.IXON | unix.ISTRIP
	t.Oflag &^= unix.OPOST
	t.Lflag &^= unix.ECHO | unix.ICANON | unix.ISIG | unix.IEXTEN
	return unix.IoctlSetTermios(fd, unix.TCSETS, t)
}
