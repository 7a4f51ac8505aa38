package recording

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// meaning is what a word in a heading or a file name tells.
type meaning uint8

const (
	meansNothing meaning = iota
	meansAcc
	meansGyr
	meansAxis
	meansSide
	meansSite
	meansTime
	meansDate
	meansCounter
	meansCadence
	meansSpeed
	meansDistance
	meansHeart
	meansOther // a quantity that setdown does not use
	meansFiller
	meansChannel
	meansValue
	meansPlacement
	meansLinear
	meanings = iota // how many there are
)

// words lists, per meaning, the words in English, German, French, Spanish,
// Italian, Dutch, Polish, Portuguese, Swedish, Danish and Norwegian, folded: lower
// case, without accents, ß as ss.
var words = map[meaning]string{
	meansAcc: `acc accel accl gforce accelerometer accelerometers acceleration accelerations accelero specificforce
		beschleunigung beschl beschleunigungssensor accelerometre acelerometro aceleracion acel accelerometro accelerazione 加速度
		versnelling versnellingsmeter versn
		przyspieszenie przysp przyspieszeniomierz akcelerometr aceleracao akselerasjon akselerometer acceleratie`,
	meansGyr: `gyr gyro gyros gyroscope gyroscopes omega ω angular angularvelocity angularrate angvel rotationrate rotrate turnrate rateofturn rot angrate angspeed angularspeed rotspeed
		drehrate drehgeschwindigkeit winkelgeschwindigkeit gyroskop drehratensensor kreisel winkelgeschw rotationsrate rotationsgeschwindigkeit vitesseangulaire angulaire gyrometre
		角速度 giroscopio giro velocidadangular angular velocitaangolare angolare hoeksnelheid gyroscoop draaisnelheid
		zyroskop katowa predkosckatowa velocidadeangular girosc vinkelhastighet vinkelhastighed`,
	meansSide: `left:L l:L lt:L lh:L links:L linker:L linke:L linkes:L gauche:L g:L izquierda:L izquierdo:L izq:L sinistra:L sinistro:L sin:L sx:L
		right:R r:R rt:R rh:R rechts:R rechter:R rechte:R rechtes:R droite:R droit:R derecha:R derecho:R der:R destra:R destro:R dx:R
		lewa:L lewy:L lewe:L prawa:R prawy:R prawe:R esquerda:L esquerdo:L direita:R direito:R 左:L 左脚:L 左足:L 右:R 右脚:R 右足:R vanster:L venstre:L hoger:R højre:R høyre:R`,
	meansSite: `foot:F feet:F shoe:F instep:F insole:F heel:F fuss:F schuh:F fussrucken:F pied:F chaussure:F pie:F zapato:F zapatilla:F piede:F scarpa:F voet:F schoen:F
		stopa:F but:F pe:F sapato:F calcado:F fot:F fod:F sko:F
		shank:S shin:S tibia:S tib:S lowerleg:S schienbein:S unterschenkel:S jambe:S pierna:S espinilla:S gamba:S stinco:S scheenbeen:S scheen:S onderbeen:S ankle:S
		golen:S podudzie:S kostka:S canela:S tornozelo:S skinneben:S skinnben:S smalben:S
		waist:W pelvis:W sacrum:W hip:W back:W lumbar:W trunk:W belt:W lowerback:W rucken:W ruecken:W becken:W hufte:W huefte:W taille:W bassin:W dos:W
		cadera:W cintura:W espalda:W vita:W bacino:W schiena:W heup:W rug:W bekken:W
		左脚:F 左足:F 右脚:F 右足:F
		talia:W biodro:W miednica:W plecy:W quadril:W lombar:W costas:W
		wrist:A arm:A hand:A watch:A phone:A forearm:A armband:A handgelenk:A uhr:A poignet:A montre:A bras:A main:A muneca:A reloj:A brazo:A polso:A orologio:A braccio:A
		pols:A horloge:A onderarm:A nadgarstek:A reka:A punho:A pulso:A braco:A relogio:A handled:A`,
	meansTime: `time t rtc stamp timestamp timestamps ts elapsed epoch unix utc clock datetime zeit zeitstempel zeitpunkt uhrzeit temps horodatage heure horodate instant
		tiempo hora marca tempo ora istante tijd tijdstip tijdstempel
		时间 時間 時刻 时间戳 cas aika
		czas godzina znacznikczasu tid tidpunkt tidsstempel sekund sekundy seconds sekunden secondes segundos secondi seconden secs sec
		milliseconds millisecond millis msec microseconds microsecond micros usec nanoseconds nanosecond nanosec nanos nsec ms us ns`,
	meansDate:     `date datum fecha data day jour tag dia giorno dag dato`,
	meansCounter:  `counter timer count sample samples samplenumber index idx packet packetcounter frame seq sequence sequencenumber nr no number num row n zahler zaehler probe compteur echantillon contador muestra contatore campione teller monster tick ticks id probka licznik numer amostra`,
	meansCadence:  `cadence spm steprate stepfrequency stridefrequency striderate stepsmin stridesmin schrittfrequenz trittfrequenz kadenz schritte cadencia cadenza cadans stapfrequentie pasfrequentie pasos passi pas`,
	meansSpeed:    `speed velocity geschwindigkeit vitesse velocidad velocita snelheid velocidade predkosc hastighet hastighed`,
	meansDistance: `distance dist distanz strecke entfernung distancia distanza afstand`,
	meansHeart:    `heart hr bpm heartrate puls pulse herzfrequenz herzschlag cardiaque cardiaca hartslag fc`,
	meansOther: `mag magn magnetometer magnetic magnetfeld magnetometre magnetometro temp temperature temperatur temperatura temperature temperatuur
		quat quaternion q roll pitch yaw euler heading battery pressure druck pression presion pressione altitude elevation hohe bateria cisnienie pressao magnetometr magnetometro lat lon latitude longitude gps
		baro barometer power status error label activity force kraft marker emg humidity light bias orientation attitude covariance cov variance std stdev delta interval intervall intervalle intervallo intervalo`,
	meansLinear:  `linear lin lineare lineaire lineal useracceleration useracc user gravity grav`,
	meansFiller:  `sensor sensors imu data raw value axis achse axe eje asse as calibrated cal rate velocity of the du de la des unit device signal rateof geschwindigkeit vitesse velocidad velocita velocidade predkosc hastighet hastighed os eixo osi akse axel velocity since start local system measurement instantaneous running run in wideband lownoise`,
	meansChannel: `channel kanal canal canale kanaal signal variable measure quantity groesse grosse grandeur magnitud grandezza grootheid`,
	meansValue:   `value wert valeur valor valore waarde reading`,
	meansPlacement: `side sensor placement position location seite cote lado lato zijde kant site device body bodypart segment ort lieu lugar luogo plaats sensorid sensorname
		czujnik posicao strona noga perna membro placering  deviceid name sensortype type
		node module board mac address limb leg bein knoten modul`,
}

// vocabulary is words turned round: for each word its meanings, and the side
// or site it names.
type vocabulary map[string][]sense

type sense struct {
	means meaning
	side  Side
	site  Site
}

// dictionary is built once from words; it never changes.
var dictionary = makeDictionary()

func makeDictionary() vocabulary {
	sides := map[string]Side{"L": Left, "R": Right}
	sites := map[string]Site{"F": Foot, "S": Shin, "W": Waist, "A": Wrist}
	v := vocabulary{}
	for means, list := range words {
		for _, w := range strings.Fields(list) {
			w, tag, _ := strings.Cut(w, ":")
			s := sense{means: means}
			switch means {
			case meansSide:
				s.side = sides[tag]
			case meansSite:
				s.site = sites[tag]
			}
			v[w] = append(v[w], s)
		}
	}
	return v
}

// is tells whether word has the meaning.
func (v vocabulary) is(word string, m meaning) bool {
	for _, s := range v[word] {
		if s.means == m {
			return true
		}
	}
	return false
}

// fold makes text comparable: lower case, accents and ß undone.
func fold(text string) string {
	text = strings.ToLower(text)
	if isASCII(text) {
		return text
	}
	bare := strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, norm.NFD.String(text))
	return strings.ReplaceAll(norm.NFC.String(bare), "ß", "ss")
}

// isASCII tells whether text has no accents to undo.
func isASCII(text string) bool {
	for i := range len(text) {
		if text[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// tokens cuts a heading into folded words: at anything that is neither letter
// nor digit, and where a small letter is followed by a capital ("accX").
func tokens(text string) []string {
	var out []string
	var word strings.Builder
	flush := func() {
		if word.Len() > 0 {
			out = append(out, fold(word.String()))
			word.Reset()
		}
	}
	var before rune
	for _, r := range text {
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.Is(unicode.Mn, r):
			flush()
		case unicode.Is(unicode.Han, r) != unicode.Is(unicode.Han, before) && before != 0 && word.Len() > 0: // "加速度X"
			flush()
			word.WriteRune(r)
		case unicode.IsUpper(r) && (unicode.IsLower(before) || unicode.IsDigit(before)):
			flush()
			fallthrough
		default:
			word.WriteRune(r)
		}
		before = r
	}
	flush()
	return out
}
