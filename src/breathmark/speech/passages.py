"""What pace is calibrated on: sentences of the kind that routines are made of."""

from __future__ import annotations

from breathmark.speech.profiles import primary

ENGLISH = (
    "Sit tall near the front of the chair.",
    "Keep both feet flat on the floor.",
    "Slide your left foot straight back, and keep that knee straight.",
    "Feel a gentle pull along the back of the leg.",
    "Let your shoulders sink away from your ears.",
    "Breathe out as you press the wall away.",
    "If it hurts, make the movement smaller.",
    "Rest one hand on the counter for balance.",
    "Lift the heel slowly, pause at the top, and lower it again.",
    "Turn your head until you can see over your shoulder.",
)

_GERMAN = (
    "Setzen Sie sich aufrecht an die Vorderkante des Stuhls.",
    "Lassen Sie beide Füße flach auf dem Boden.",
    "Schieben Sie den linken Fuß gerade nach hinten und strecken Sie das Knie.",
    "Sie spüren ein leichtes Ziehen an der Rückseite des Beins.",
    "Lassen Sie die Schultern locker nach unten sinken.",
    "Atmen Sie beim Wegdrücken der Wand aus.",
    "Wenn es weh tut, machen Sie die Bewegung kleiner.",
    "Legen Sie eine Hand zum Festhalten auf die Lehne.",
    "Heben Sie langsam die Ferse, warten Sie oben und senken Sie sie wieder.",
    "Drehen Sie den Kopf, bis Sie über die Schulter sehen.",
)

_SPANISH = (
    "Siéntese erguido cerca del borde de la silla.",
    "Deje los dos pies bien apoyados en el suelo.",
    "Deslice el pie izquierdo hacia atrás, con la rodilla estirada.",
    "Note una tensión suave por detrás de la pierna.",
    "Deje caer los hombros, lejos de las orejas.",
    "Suelte el aire mientras empuja la pared.",
    "Si le duele, haga el movimiento más pequeño.",
    "Ponga una mano en la mesa para no perder el equilibrio.",
    "Levante el talón despacio, espere arriba y vuelva a bajarlo.",
    "Gire la cabeza hasta que vea por encima del hombro.",
)

_FRENCH = (
    "Asseyez-vous bien droit près du bord de la chaise.",
    "Gardez les deux pieds à plat sur le sol.",
    "Glissez le pied gauche en arrière, le genou bien tendu.",
    "Vous sentez une légère tension à l'arrière de la jambe.",
    "Laissez descendre les épaules, loin des oreilles.",
    "Soufflez pendant que vous poussez le mur.",
    "Si vous avez mal, faites un mouvement plus petit.",
    "Posez une main sur la table pour garder l'équilibre.",
    "Levez le talon lentement, attendez en haut, puis redescendez.",
    "Tournez la tête jusqu'à voir par-dessus votre épaule.",
)

_PASSAGES = {"en": ENGLISH, "de": _GERMAN, "es": _SPANISH, "fr": _FRENCH}


def passage_of(language: str) -> tuple[str, ...]:
    """The passage of a language (BCP 47 tag); the English one where there is none."""
    return _PASSAGES.get(primary(language), ENGLISH)
