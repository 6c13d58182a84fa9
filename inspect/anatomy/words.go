package anatomy

// word is what a name says a joint is, before anything else is asked.
type word uint8

const (
	nothing  word = iota
	rootWord      // the whole figure
	hipsWord
	hipWord // hips when single, the thigh when sided
	trunkWord
	neckWord
	headWord
	jawWord
	eyeWord
	girdleWord   // collarbone, shoulder blade
	shoulderWord // girdle or upper arm
	upperArmWord
	armWord // upper arm or the whole chain
	forearmWord
	handWord
	thumbWord
	indexWord
	middleWord
	ringWord
	littleWord
	thighWord
	legWord // thigh, shank or the whole chain
	shankWord
	ashiWord // leg or foot, by depth
	footWord
	ballWord // toes when below a foot
	toesWord
	helperWord
	endWord
	beastWord // tails, ears, cloth: no part of the human body plan
)

// vocabulary lists the words of joint names in English, French, German, Spanish,
// anatomical Latin and romanised Japanese (common practice, no source; anatomical
// terms after Terminologia Anatomica), and the joints of H-Anim (ISO/IEC 19774). Words of several tokens stand as one.
var vocabulary = map[word]string{
	rootWord:   "root origin master world base armature",
	hipsWord:   "hips pelvis bassin becken koshi sacrum sacroiliac",
	hipWord:    "hip cadera hanche huefte hufte",
	trunkWord:  "spine back torso abdomen belly waist lumbar thorax chest ribs sternum breastbone upperchest dos colonne poitrine wirbelsaeule wirbelsaule ruecken rucken brust columna espalda pecho sebone senaka mune vl vt",
	neckWord:   "neck cervical cou hals cuello collum kubi vc",
	headWord:   "head skull cranium tete kopf cabeza caput atama skullbase",
	jawWord:    "jaw mandible chin machoire kiefer mandibula ago temporomandibular",
	eyeWord:    "eye eyeball oeil auge ojo oculus me",
	girdleWord: "clavicle collar collarbone scapula shoulderblade clavicule omoplate schluesselbein schlusselbein clavicula sakotsu sternoclavicular",

	shoulderWord: "shoulder epaule schulter hombro kata",
	upperArmWord: "upperarm uparm armupper humerus bicep oberarm brazo jouwan",
	armWord:      "arm bras ude",
	forearmWord:  "forearm lowerarm lowarm armlower armlow elbow radius ulna avantbras coude unterarm ellbogen antebrazo codo zenwan hiji",
	handWord:     "hand wrist palm carpus manus main poignet handgelenk mano muneca te tekubi radiocarpal",

	thumbWord:  "thumb pollex pouce daumen pulgar oyayubi",
	indexWord:  "index pointer forefinger zeigefinger indice hitosashi",
	middleWord: "middle long majeur medius mittelfinger corazon nakayubi",
	ringWord:   "ring annulaire ringfinger anular kusuriyubi",
	littleWord: "little pinky pinkie small auriculaire kleinerfinger menique koyubi",

	thighWord: "thigh upperleg upleg legupper femur cuisse oberschenkel muslo momo futomomo",
	legWord:   "leg jambe bein pierna",
	shankWord: "shin calf lowerleg lowleg leglower leglow knee tibia fibula crus mollet genou unterschenkel knie pantorrilla rodilla sune hiza",
	ashiWord:  "ashi",
	footWord:  "foot ankle tarsus pes pied cheville fuss knoechel knochel pie tobillo ashikubi talocrural",
	ballWord:  "ball",
	toesWord:  "toe toes hallux metatarsal midtarsal orteil zehe dedodelpie tsumasaki",

	helperWord: "twist roll tw half aux helper corrective pump bulge muscle volume ik pole target goal effector socket attach weapon prop holder camera heel slot handslot control ctl acromioclavicular subtalar",
	endWord:    "end tip top nub leaf term eff e",
	beastWord:  "tail wing fin ear horn hair skirt cloak cape breast tongue teeth brow eyebrow lid eyelid lip cheek nose paw hoof foreleg hindleg frontleg backleg forefoot hindfoot frontfoot backfoot forepaw hindpaw",
}

const (
	leftWords   = "left lft lt gauche links izquierdo izquierda izq sinister sin hidari"
	rightWords  = "right rgt rt droite droit rechts derecho derecha der dexter dext migi"
	centreWords = "center centre centro mitte mid"
	fillerWords = "bone joint jnt bn jt skin deform def rig ctrl node skel mesh copy finger fingers phalanx phalange"
)

// otherLetter pairs the short side tokens: a side only where the same name with the
// other one exists.
var otherLetter = map[string]string{"l": "r", "r": "l", "g": "d", "d": "g", "li": "re", "re": "li"}

// phase words order the joints of a digit.
var phases = map[string]int8{
	"metacarpal": 0, "carpal": 0, "proximal": 1, "intermediate": 2, "medial": 2, "distal": 3,
}

// orderWords say upper or lower and count; they are no content of their own.
const orderWords = "upper lower up low first second third oben unten haut bas a b c"
