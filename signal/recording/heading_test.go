package recording

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestHeadingsAreUnderstood(t *testing.T) {
	for name, want := range map[string]string{
		"t": "time unknown unknown ", "time_s": "time unknown unknown s", "Timestamp [ms]": "time unknown unknown ms", "ax": "acc_x unknown unknown ",
		"acc_x_m_s2": "acc_x unknown unknown m/s2", "gyr_z_rad_s": "gyr_z unknown unknown rad/s", "Acc X (g)": "acc_x unknown unknown g",
		"gyro_y_dps": "gyr_y unknown unknown deg/s", "wx": "gyr_x unknown unknown ", "Beschleunigung Z [m/s²]": "acc_z unknown unknown m/s2",
		"Winkelgeschwindigkeit Y (°/s)": "gyr_y unknown unknown deg/s", "Zeit (s)": "time unknown unknown s", "temps (s)": "time unknown unknown s",
		"Accélération X (m/s²)": "acc_x unknown unknown m/s2", "Vitesse angulaire Z (rad/s)": "gyr_z unknown unknown rad/s",
		"aceleración y [g]": "acc_y unknown unknown g", "velocidad angular x (°/s)": "gyr_x unknown unknown deg/s",
		"velocità angolare x (°/s)": "gyr_x unknown unknown deg/s", "accelerazione x": "acc_x unknown unknown ", "tempo": "time unknown unknown ",
		"hoeksnelheid z (rad/s)": "gyr_z unknown unknown rad/s", "versnelling x (g)": "acc_x unknown unknown g",
		"left_acc_x": "acc_x left unknown ", "R_gyro_z": "gyr_z right unknown ", "RightFootGyrX": "gyr_x right foot ", "lfoot_ax": "acc_x left foot ",
		"leftShank_ACCEL_z": "acc_z left shin ", "accX": "acc_x unknown unknown ", "x": "axis_x unknown unknown ", "X [g]": "acc_x unknown unknown g",
		"a_x": "acc_x unknown unknown ", "g_x": "gyr_x unknown unknown ", "a_x (g)": "acc_x unknown unknown g", "cadence": "cadence unknown unknown ",
		"speed_m_s": "speed unknown unknown m/s", "heart_rate": "unused unknown unknown ", "mag_x": "unused unknown unknown ", "Counter": "counter unknown unknown ",
		"side": "key unknown unknown ", "sensor": "key unknown unknown ", "channel": "key unknown unknown ", "value": "value unknown unknown ",
		"LinearAcceleration x (m/s^2)": "unused unknown unknown ", "date": "date unknown unknown ", "Angular velocity x (rad/s)": "gyr_x unknown unknown rad/s",
		"acc_mg_x": "acc_x unknown unknown mg", "Acc. X, m/s^2": "acc_x unknown unknown m/s2", "elapsed time": "time unknown unknown ",
		"accel_x_mps2": "acc_x unknown unknown m/s2", "Fuß links Acc X": "acc_x left foot ", "pied gauche acc x": "acc_x left foot ",
		"gyro.x": "gyr_x unknown unknown ", "Gyroscope_X": "gyr_x unknown unknown ", "acceleration.y": "acc_y unknown unknown ", "omega_x": "gyr_x unknown unknown ",
		"rate of turn x (deg/s)": "gyr_x unknown unknown deg/s", "specific force y": "acc_y unknown unknown ", "LF_acc_x": "acc_x left foot ",
		"Przyspieszenie Y": "acc_y unknown unknown ", "Prędkość kątowa Z": "gyr_z unknown unknown ", "Czas": "time unknown unknown ", "Żyroskop oś X": "gyr_x unknown unknown ",
		"Aceleração X (g)": "acc_x unknown unknown g", "velocidade angular y": "gyr_y unknown unknown ", "acc_x_lewa": "acc_x left unknown ", "gyr_z pé direito": "gyr_z right foot ",
		"Vinkelhastighed X": "gyr_x unknown unknown ", "Akselerasjon z": "acc_z unknown unknown ", "venstre fot acc x": "acc_x left foot ", "Tid": "time unknown unknown ",
		"x_acc_l": "acc_x left unknown ", "z_gyr_r": "gyr_z right unknown ", "acc_x_g_imu1": "acc_x unknown unknown g", "gyr_y_dps_node2": "gyr_y unknown unknown deg/s",
		"acc_x_m_s2_left": "acc_x left unknown m/s2", "gyr_x_rad_s_right": "gyr_x right unknown rad/s", "acc_x_g_left": "acc_x left unknown g", "gyr_x_deg_s_r": "gyr_x right unknown deg/s",
		"ax (ft/s^2)": "acc_x unknown unknown ft/s2", "ay (µg)": "acc_y unknown unknown ug", "gyro z (rpm)": "gyr_z unknown unknown turn/min", "time (h)": "time unknown unknown h",
		"roll_rate": "gyr_x unknown unknown ", "Pitch rate (deg/s)": "gyr_y unknown unknown deg/s", "yaw_dps": "unused unknown unknown ", "left yaw rate [rad/s]": "gyr_z left unknown rad/s",
		"Roll [°/s]": "gyr_x unknown unknown deg/s", "gyro pitch": "gyr_y unknown unknown ", "roll": "unused unknown unknown ", "pitch (deg)": "unused unknown unknown ",
		"a_x/g": "acc_x unknown unknown g", "a_x_g": "acc_x unknown unknown g", "ω_z/(deg/s)": "gyr_z unknown unknown deg/s", "x/g": "acc_x unknown unknown g", "t/ms": "time unknown unknown ms",
		"gFx": "acc_x unknown unknown ", "G-Force Y (g)": "acc_y unknown unknown g", "Ang Rate X": "gyr_x unknown unknown ", "Winkelgeschw. Z": "gyr_z unknown unknown ",
		"accelerationIncludingGravity.x": "acc_x unknown unknown ", "acceleration without gravity z (m/s2)": "unused unknown unknown ", "gyro_bias_x": "unused unknown unknown ",
		"GPS time of week (ms)": " unknown unknown ", "gps_lat": "unused unknown unknown ", "gx (Degree/s)": "gyr_x unknown unknown deg/s",
		"time (µs)": "time unknown unknown us", "t_ms": "time unknown unknown ms", "epoch_ns": "time unknown unknown ns", "xAcc": "acc_x unknown unknown ",
	} {
		h := readHeading(name)
		require.Equal(t, want, h.role.String()+" "+h.side.String()+" "+h.site.String()+" "+h.unit.Symbol, name)
	}
}

func TestUnitsThatAreNotKnownAreSeen(t *testing.T) {
	for name, want := range map[string]string{
		"gx_cdps": "cdps", "gyro x (mils/s)": "mils/s", "acc y [in/s2]": "in/s2", "Gyro X (±2000dps)": "", "Drehrate X [ø/s]": "", "Gyro X [?/s]": "", "Gyro X (Â°/s)": "", "gyr_x_dps": "", "acc_x (m/s2)": "", "gyr_x (filtered)": "", "Gyro X [left]": "",
	} {
		require.Equal(t, want, readHeading(name).odd, name)
	}
}
