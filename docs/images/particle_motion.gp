# Ways of a particle in one second, of the example particle_properties. Run from the project's root:
#   gnuplot docs/images/particle_motion.gp
set terminal svg size 720,420 font "sans-serif,13" background "white"
set output "docs/images/particle_motion.svg"
data = "examples/expected/particle_properties.txt"
set logscale xy
set xlabel "particle size, um"
set ylabel "way in one second, m"
set format y "10^{%L}"
set xrange [0.01:100]
set yrange [3e-8:1]
set grid lc rgb "#dddddd"
set key top left Left reverse samplen 2
plot data index 0 using 1:6 with lines lc rgb "#D55E00" lw 2 title "settling, 1000 kg/m^3", \
     "" index 0 using 1:7 with lines lc rgb "#0072B2" lw 2 dt 2 title "diffusion, root mean square along one axis"
