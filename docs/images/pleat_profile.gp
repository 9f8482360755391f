# Velocity and pressures along the depth of a pleat: the example pleat_design. Run from the project's root:
#   gnuplot docs/images/pleat_profile.gp
set terminal svg size 860,400 font "sans-serif,13" background "white"
set output "docs/images/pleat_profile.svg"
data = "examples/expected/pleat_design.txt"
set multiplot layout 1,2
set xlabel "depth from the inlet mouths, mm"
set grid lc rgb "#dddddd"
set xrange [0:44]
set key top left Left reverse samplen 2
set ylabel "velocity through the medium, m/s"
set yrange [0:0.2]
plot data index 4 using 1:2 with lines lc rgb "#D55E00" lw 2 title "rectangular", \
     data index 4 using 1:5 with lines lc rgb "#0072B2" lw 2 dt 2 title "triangular (same pleats, invented)"
set ylabel "pressure over that at the outlet mouths, Pa"
set yrange [0:100]
plot data index 4 using 1:3 with lines lc rgb "#D55E00" lw 2 title "inlet channel", \
     data index 4 using 1:4 with lines lc rgb "#D55E00" lw 2 dt 4 title "outlet channel", \
     data index 4 using 1:6 with lines lc rgb "#0072B2" lw 2 dt 2 title "inlet, triangular", \
     data index 4 using 1:7 with lines lc rgb "#0072B2" lw 2 dt 3 title "outlet, triangular"
unset multiplot
