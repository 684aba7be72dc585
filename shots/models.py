"""The room's tables, each declared in its topic's folder."""

from shots.camera.models import Camera
from shots.food.models import HeroFood
from shots.light.models import Light
from shots.props.models import Prop
from shots.roles.models import RoleAnswer
from shots.shot.models import Shot

__all__ = ["Camera", "HeroFood", "Light", "Prop", "RoleAnswer", "Shot"]
