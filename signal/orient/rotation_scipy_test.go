package orient

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// refQ is a quaternion as the reference values hold it: w, x, y, z.
type refQ [4]float64

func (r refQ) quaternion() Quaternion { return Quaternion{r[0], r[1], r[2], r[3]} }

// Values computed with SciPy 1.10.1; testdata/scipy/regenerate.py makes them.
func TestRotationsAgainstSciPy(t *testing.T) {
	var ref struct {
		Values struct {
			Intrinsic []struct {
				Deg    [3]float64
				Q      refQ
				Matrix Matrix
			} `json:"intrinsic_zyx"`
			Extrinsic []struct {
				Deg [3]float64
				Q   refQ
			} `json:"extrinsic_zyx"`
			Exp []struct {
				V [3]float64
				Q refQ
			}
			BodyRate struct {
				DegS    [3]float64 `json:"deg_s"`
				Seconds float64
				Q       refQ
				ZYX     [3]float64 `json:"zyx_deg"`
			} `json:"body_rate"`
		}
	}
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "scipy", "rotation.json"))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &ref))
	v := ref.Values
	require.Len(t, v.Intrinsic, 5)
	const tol = 1e-14
	for _, c := range v.Intrinsic {
		q := FromEulerZYX(c.Deg[0]*deg, c.Deg[1]*deg, c.Deg[2]*deg)
		require.InDelta(t, 0, c.Q.quaternion().Angle(q), tol)
		for r, row := range q.Matrix() {
			equalV(t, c.Matrix[r], row, tol)
		}
		require.InDelta(t, 0, c.Q.quaternion().Angle(c.Matrix.Quaternion()), tol)
		yaw, pitch, roll := c.Q.quaternion().EulerZYX()
		equalV(t, c.Deg, [3]float64{yaw / deg, pitch / deg, roll / deg}, 1e-11)
	}
	for _, c := range v.Extrinsic {
		z := FromAxisAngle([3]float64{0, 0, 1}, c.Deg[0]*deg)
		y := FromAxisAngle([3]float64{0, 1, 0}, c.Deg[1]*deg)
		x := FromAxisAngle([3]float64{1, 0, 0}, c.Deg[2]*deg)
		require.InDelta(t, 0, c.Q.quaternion().Angle(x.Mul(y).Mul(z)), tol)
	}
	for _, c := range v.Exp {
		require.InDelta(t, 0, c.Q.quaternion().Angle(Exp(c.V)), tol)
		equalV(t, c.V, c.Q.quaternion().Log(), tol)
	}
	q := Identity().Step(scale3(v.BodyRate.DegS, deg), v.BodyRate.Seconds)
	require.InDelta(t, 0, v.BodyRate.Q.quaternion().Angle(q), tol)
	yaw, pitch, roll := q.EulerZYX()
	equalV(t, v.BodyRate.ZYX, [3]float64{yaw / deg, pitch / deg, roll / deg}, 1e-11)
}
