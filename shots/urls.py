"""The room's addresses below /c/<campaign>/, topic by topic."""

from shots.camera.urls import urlpatterns as camera
from shots.food.urls import urlpatterns as food
from shots.light.urls import urlpatterns as light
from shots.lists.urls import urlpatterns as lists
from shots.props.urls import urlpatterns as props
from shots.roles.urls import urlpatterns as roles
from shots.shot.urls import urlpatterns as shot

app_name = "shots"
urlpatterns = [*shot, *food, *props, *light, *camera, *roles, *lists]
